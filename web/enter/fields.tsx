/** Form fields that say what is wrong beside themselves. A fault is named by its path in the house, as the service sends it. */

import type { ComponentChildren } from 'preact'
import { useId } from 'preact/hooks'
import type { Faults } from '../base/faults.ts'

interface FieldGiven {
  label: string
  hint?: ComponentChildren
  path: string
  faults: Faults
  children: (ids: {
    id: string
    'aria-describedby': string | undefined
    'aria-invalid': 'true' | undefined
  }) => ComponentChildren
}

export function Field({ label, hint, path, faults, children }: FieldGiven) {
  const id = useId()
  const fault = faults.at(path)
  const describedBy = [hint !== undefined ? `${id}-hint` : '', fault !== undefined ? `${id}-fault` : '']
    .filter(Boolean)
    .join(' ')
  return (
    <div class="field" data-path={path}>
      <label for={id}>{label}</label>
      {children({
        id,
        'aria-describedby': describedBy || undefined,
        'aria-invalid': fault !== undefined ? 'true' : undefined,
      })}
      {hint !== undefined && (
        <p id={`${id}-hint`} class="small quiet">
          {hint}
        </p>
      )}
      {fault !== undefined && (
        <p id={`${id}-fault`} class="fault small">
          {fault}
        </p>
      )}
    </div>
  )
}

type Given<T> = Omit<FieldGiven, 'children'> & { value: T | undefined; onChange: (value: T | undefined) => void }

export function TextField({
  value,
  onChange,
  long = false,
  required = false,
  ...field
}: Given<string> & { long?: boolean; required?: boolean }) {
  const changed = (text: string) => onChange(text === '' && !required ? undefined : text)
  return (
    <Field {...field}>
      {(ids) =>
        long ? (
          <textarea {...ids} rows={3} value={value ?? ''} onInput={(event) => changed(event.currentTarget.value)} />
        ) : (
          <input {...ids} type="text" value={value ?? ''} onInput={(event) => changed(event.currentTarget.value)} />
        )
      }
    </Field>
  )
}

/** A number in the person's unit, SI inside. What is typed stays as it is typed until it is left. */
export function NumberField({
  value,
  onChange,
  to,
  from,
  digits,
  ...field
}: Given<number> & { to: (si: number) => number; from: (shown: number) => number; digits: number }) {
  const shown = value === undefined ? '' : String(Number(to(value).toFixed(digits)))
  return (
    <Field {...field}>
      {(ids) => (
        <input
          {...ids}
          type="number"
          step="any"
          inputMode="decimal"
          value={shown}
          onChange={(event) => {
            const text = event.currentTarget.value
            const typed = Number(text)
            // What reads back as it is shown was not changed, and keeps its full value.
            if (text !== shown) onChange(text === '' || Number.isNaN(typed) ? undefined : from(typed))
          }}
        />
      )}
    </Field>
  )
}

export function ChoiceField<T extends string>({
  value,
  onChange,
  choices,
  none = 'not recorded',
  ...field
}: Given<T> & { choices: readonly (T | { value: T; label: string })[]; none?: string | null }) {
  return (
    <Field {...field}>
      {(ids) => (
        <select
          {...ids}
          value={value ?? ''}
          onChange={(event) => onChange((event.currentTarget.value || undefined) as T | undefined)}
        >
          {none !== null && <option value="">{none}</option>}
          {choices.map((choice) => {
            const { value: own, label } = typeof choice === 'string' ? { value: choice, label: choice } : choice
            return (
              <option key={own} value={own}>
                {label}
              </option>
            )
          })}
        </select>
      )}
    </Field>
  )
}

/** A local date, or date and time, as the house's clock has it. */
export function DateField({ value, onChange, withTime = false, ...field }: Given<string> & { withTime?: boolean }) {
  return (
    <Field {...field}>
      {(ids) => (
        <input
          {...ids}
          type={withTime ? 'datetime-local' : 'date'}
          value={
            withTime
              ? value === undefined
                ? ''
                : value.length === 10
                  ? `${value}T12:00`
                  : value.slice(0, 16)
              : (value?.slice(0, 10) ?? '')
          }
          onChange={(event) => onChange(event.currentTarget.value || undefined)}
        />
      )}
    </Field>
  )
}
