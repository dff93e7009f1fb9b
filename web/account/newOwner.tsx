/** A house changes hands: what the old owner had of it ends. */
import { useState } from 'preact/hooks'
import type { HandedOverAnswer } from '../../server/http/contract/people.ts'
import { useActing } from '../base/acting.ts'
import { Section } from '../base/parts.tsx'
import { Line } from './fields.tsx'
import { Form } from './form.tsx'

export function NewOwner({
  hadOwner,
  send,
  onDone,
}: {
  hadOwner: boolean
  send: (to: { name: string; email: string }) => Promise<HandedOverAnswer>
  onDone: (handed: HandedOverAnswer) => void
}) {
  const [name, setName] = useState('')
  const [email, setEmail] = useState('')
  const [asking, setAsking] = useState(false)
  const acting = useActing(['/name', '/email'])
  const handOver = () =>
    acting.run(async () => {
      const handed = await send({ name: name.trim(), email: email.trim() })
      setAsking(false)
      setName('')
      setEmail('')
      onDone(handed)
      return ''
    })
  return (
    <Section
      class="part"
      id="new-owner"
      title={hadOwner ? 'Hand over to a new owner' : 'Enter the owner'}
      note={
        hadOwner
          ? 'When the house is sold: links, sessions and letters of the owner before end at once; the record stays with the house.'
          : 'They get a link; no password is needed.'
      }
    >
      <Form
        acting={acting}
        label={hadOwner ? 'Hand over to a new owner' : 'Enter the owner'}
        submit={asking ? 'Yes, hand it over' : hadOwner ? 'Hand the house over' : 'Enter the owner'}
        ready={name.trim() !== '' && email.trim() !== ''}
        onSend={() => {
          if (hadOwner && !asking) setAsking(true)
          else void handOver()
        }}
        beside={
          asking && (
            <button type="button" onClick={() => setAsking(false)}>
              Not yet
            </button>
          )
        }
      >
        <div class="fields">
          <Line
            label="Name of the owner"
            path="/name"
            faults={acting.faults}
            value={name}
            onChange={setName}
            autocomplete="off"
          />
          <Line
            label="E-mail address"
            type="email"
            path="/email"
            faults={acting.faults}
            value={email}
            onChange={setEmail}
            autocomplete="off"
          />
        </div>
        {asking && (
          <p class="ask-first" role="status">
            The owner before is shut out at once, and {name.trim()} gets the house with its whole record.
          </p>
        )}
      </Form>
    </Section>
  )
}
