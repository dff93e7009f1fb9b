/** A house changes hands: what the old owner had of it ends. */
import { useState } from 'preact/hooks'
import type { HandedOverAnswer } from '../../server/http/contract/people.ts'
import { Section } from '../base/parts.tsx'
import { useActing } from '../loggers/parts.tsx'
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
  const acting = useActing(['/name', '/email'])
  const handOver = () =>
    acting.run(async () => {
      const handed = await send({ name: name.trim(), email: email.trim() })
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
        submit={hadOwner ? 'Hand the house over' : 'Enter the owner'}
        ready={name.trim() !== '' && email.trim() !== ''}
        onSend={() => void handOver()}
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
      </Form>
    </Section>
  )
}
