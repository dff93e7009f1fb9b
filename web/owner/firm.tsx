/** The firm as owners' pages and letters name it: small, for every house at once. */
import { useEffect, useState } from 'preact/hooks'
import type { FirmAnswer, FirmGiven } from '../../server/http/contract/firm.ts'
import { Form } from '../account/form.tsx'
import { send } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting, Section } from '../base/parts.tsx'
import { Field } from '../enter/fields.tsx'
import '../enter/enter.css'
import '../account/account.css'
import { useActing } from '../base/acting.ts'
import './owner.css'

export function FirmPart({ onStored = () => {} }: { onStored?: () => void }) {
  const loaded = useLoad<FirmAnswer>('/api/firm')
  const firm = loaded.body
  return (
    <Section
      class="section owner-firm"
      id="firm"
      title="The firm"
      note="Owners’ pages and letters name it as the one to call, at every house."
    >
      {firm === null ? (
        <Awaiting loaded={loaded} what="the firm" again={loaded.again} />
      ) : (
        <FirmForm firm={firm} onStored={onStored} />
      )}
    </Section>
  )
}

const PARTS = [
  { part: 'name', label: 'Name', type: 'text', autocomplete: 'organization' },
  { part: 'phone', label: 'Phone', type: 'tel', autocomplete: 'tel' },
  { part: 'email', label: 'E-mail', type: 'email', autocomplete: 'email' },
] as const

const HOURS = [
  { part: 'urgent', label: 'Answer to what is urgent, within hours', most: 168 },
  { part: 'soon', label: 'Answer to what can wait, within hours', most: 336 },
] as const

const typedOf = ({ name, phone, email, answerHours: { urgent, soon } }: FirmAnswer) => ({
  name,
  phone: phone ?? '',
  email: email ?? '',
  urgent: String(urgent),
  soon: String(soon),
})

function FirmForm({ firm, onStored }: { firm: FirmAnswer; onStored: () => void }) {
  const [typed, setTyped] = useState(typedOf(firm))
  const acting = useActing([...PARTS.map(({ part }) => `/${part}`), ...HOURS.map(({ part }) => `/answerHours/${part}`)])
  useEffect(() => setTyped(typedOf(firm)), [firm])
  const store = () =>
    acting.run(async () => {
      const orNone = (text: string) => (text.trim() === '' ? null : text.trim())
      const body: FirmGiven = {
        name: typed.name.trim(),
        phone: orNone(typed.phone),
        email: orNone(typed.email),
        answerHours: { urgent: Number(typed.urgent), soon: Number(typed.soon) },
      }
      await send('PUT', '/api/firm', body)
      onStored()
      return 'Stored. Owners see it from now on.'
    })
  return (
    <Form
      acting={acting}
      label="The firm"
      submit="Store the firm"
      ready={typed.name.trim() !== ''}
      onSend={() => void store()}
    >
      {PARTS.map(({ part, label, type, autocomplete }) => (
        <Field key={part} label={label} path={`/${part}`} faults={acting.faults}>
          {(ids) => (
            <input
              {...ids}
              type={type}
              autocomplete={autocomplete}
              value={typed[part]}
              onInput={(event) => setTyped({ ...typed, [part]: event.currentTarget.value })}
            />
          )}
        </Field>
      ))}
      {HOURS.map(({ part, label, most }) => (
        <Field
          key={part}
          label={label}
          hint="Letters and owners’ pages promise it."
          path={`/answerHours/${part}`}
          faults={acting.faults}
        >
          {(ids) => (
            <input
              {...ids}
              type="number"
              inputmode="numeric"
              min={1}
              max={most}
              value={typed[part]}
              onInput={(event) => setTyped({ ...typed, [part]: event.currentTarget.value })}
            />
          )}
        </Field>
      ))}
    </Form>
  )
}
