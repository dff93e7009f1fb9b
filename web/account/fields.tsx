/** Fields for who somebody is. Named as browsers and password keepers know them. */
import { useState } from 'preact/hooks'
import type { Faults } from '../base/faults.ts'
import { Field } from '../enter/fields.tsx'

interface Given {
  label: string
  hint?: string
  /** Also the name of the field in what is sent. */
  path: string
  faults: Faults
  value: string
  onChange: (value: string) => void
  autocomplete: string
}

export function Line({ value, onChange, autocomplete, type = 'text', ...field }: Given & { type?: 'text' | 'email' }) {
  return (
    <Field {...field}>
      {(ids) => (
        <input
          {...ids}
          type={type}
          name={field.path.slice(1)}
          autocomplete={autocomplete}
          autocapitalize={type === 'email' ? 'none' : undefined}
          spellcheck={false}
          required
          value={value}
          onInput={(event) => onChange(event.currentTarget.value)}
        />
      )}
    </Field>
  )
}

/** Can be looked at: a long password typed blind on a phone is a short one soon. */
export function PasswordLine({ value, onChange, autocomplete, ...field }: Given) {
  const [seen, setSeen] = useState(false)
  return (
    <Field {...field}>
      {(ids) => (
        <span class="password">
          <input
            {...ids}
            type={seen ? 'text' : 'password'}
            name={field.path.slice(1)}
            autocomplete={autocomplete}
            autocapitalize="none"
            spellcheck={false}
            required
            value={value}
            onInput={(event) => onChange(event.currentTarget.value)}
          />
          <button type="button" aria-pressed={seen} aria-label={`Show: ${field.label}`} onClick={() => setSeen(!seen)}>
            Show
          </button>
        </span>
      )}
    </Field>
  )
}
