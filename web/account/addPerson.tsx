/** Somebody new. They choose their password themselves, by the invitation. */
import { useState } from 'preact/hooks'
import type { NewPersonAnswer, PeopleAnswer } from '../../server/http/contract/people.ts'
import { ROLES, type Role } from '../../server/http/contract/words.ts'
import { useActing } from '../base/acting.ts'
import { send } from '../base/api.ts'
import { ChoiceField } from '../enter/fields.tsx'
import { Line } from './fields.tsx'
import { Form } from './form.tsx'
import { HousesChoice } from './housesChoice.tsx'
import { ROLE_WORDS } from './roles.ts'

const NOBODY = { name: '', email: '', role: 'technician' as Role, houses: [] as string[] }

export function AddPerson({
  houses,
  onAdded,
}: {
  houses: PeopleAnswer['houses']
  onAdded: (added: NewPersonAnswer) => void
}) {
  const [asked, setAsked] = useState(NOBODY)
  const acting = useActing(['/name', '/email'])
  const change = (some: Partial<typeof NOBODY>) => setAsked((present) => ({ ...present, ...some }))
  const given = asked.role === 'contractor' ? [] : asked.houses
  const add = () =>
    acting.run(async () => {
      onAdded(await send<NewPersonAnswer>('POST', '/api/people', { ...asked, houses: given }))
      setAsked(NOBODY)
      return ''
    })
  return (
    <Form
      acting={acting}
      label="Let somebody in"
      submit="Invite them"
      ready={asked.name.trim() !== '' && asked.email.trim() !== ''}
      onSend={() => void add()}
    >
      <div class="fields">
        <Line
          label="Name"
          path="/name"
          faults={acting.faults}
          value={asked.name}
          onChange={(name) => change({ name })}
          autocomplete="off"
        />
        <Line
          label="E-mail address"
          type="email"
          path="/email"
          faults={acting.faults}
          value={asked.email}
          onChange={(email) => change({ email })}
          autocomplete="off"
        />
        <ChoiceField
          label="As"
          none={null}
          path="/role"
          faults={acting.faults}
          value={asked.role}
          choices={ROLES.map((value) => ({ value, label: ROLE_WORDS[value] }))}
          onChange={(role) => change({ role: role ?? 'technician' })}
        />
        {asked.role !== 'contractor' && (
          <HousesChoice houses={houses} chosen={asked.houses} onChange={(chosen) => change({ houses: chosen })} />
        )}
      </div>
    </Form>
  )
}
