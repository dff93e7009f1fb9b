/** One person as a contractor sees them, and what can be done about them. */
import { useState } from 'preact/hooks'
import type { InvitationAnswer, PeopleAnswer, PersonAnswer } from '../../server/http/contract/people.ts'
import { ROLES } from '../../server/http/contract/words.ts'
import { useActing } from '../base/acting.ts'
import { send } from '../base/api.ts'
import { useCaller } from '../base/caller.ts'
import { Chip, TroubleBox } from '../base/parts.tsx'
import { shortDateText } from '../base/time.ts'
import { ChoiceField } from '../enter/fields.tsx'
import { OWN_ZONE } from '../loggers/words.ts'
import { AskFirst } from './askFirst.tsx'
import { Line } from './fields.tsx'
import { Form } from './form.tsx'
import { HousesChoice } from './housesChoice.tsx'
import { Invitation } from './invitation.tsx'
import { ROLE_WORDS } from './roles.ts'

interface Given {
  person: PersonAnswer
  houses: PeopleAnswer['houses']
  onChanged: () => void
}

export function OnePerson({ person, houses, onChanged }: Given) {
  const { caller } = useCaller()
  const { id, name, email, role, createdAt, hasPassword, closed } = person
  const [invitation, setInvitation] = useState<string | null>(null)
  const acting = useActing()
  const address = `/api/people/${id}`
  const own = caller.id === id
  const named = person.houses.map((key) => houses.find((house) => house.key === key)?.name ?? key)

  const close = (closing: boolean) =>
    acting.run(async () => {
      await send('PATCH', address, { closed: closing })
      onChanged()
      return closing ? `${name} is signed out and not let in any more.` : `${name} is let in again.`
    })
  const invite = () =>
    acting.run(async () => {
      setInvitation((await send<InvitationAnswer>('POST', `${address}/invitation`)).invitation)
      return ''
    })
  const remove = () =>
    acting.run(async () => {
      await send('DELETE', address)
      onChanged()
      return ''
    })

  return (
    <li class="person" aria-label={name}>
      <p>
        <strong>{name}</strong> {own && <Chip kind="open">you</Chip>} {closed && <Chip kind="firm">closed</Chip>}{' '}
        {!hasPassword && !closed && role !== 'owner' && <Chip kind="unsure">invited</Chip>}
      </p>
      <p class="small quiet">
        {email}, since {shortDateText(createdAt, OWN_ZONE)}.{' '}
        {role !== 'contractor' && (named.length === 0 ? 'Has no house.' : named.join(', '))}
      </p>
      <details class="unfolds">
        <summary>
          Change or close<span class="unseen">: {name}</span>
        </summary>
        <div class="stack-14 person-acts">
          <ChangePerson
            key={`${name} ${role} ${person.houses.join()}`}
            person={person}
            houses={houses}
            onChanged={onChanged}
          />
          <div class="row">
            {!own && !closed && (
              <button type="button" disabled={acting.busy} onClick={() => void invite()}>
                Invite again
              </button>
            )}
            <a class="button" href={`${address}/export`} download={`underjoist-person-${id}.json`}>
              Save what is kept about them
            </a>
            {!own && closed && (
              <button type="button" disabled={acting.busy} onClick={() => void close(false)}>
                Let in again
              </button>
            )}
            {!own && !closed && (
              <AskFirst
                act="Close"
                about={name}
                question={`${name} is signed out everywhere at once, and their tokens and links stop. Histories keep the name. It can be taken back.`}
                yes="Close the account"
                no="Leave it open"
                busy={acting.busy}
                onYes={() => void close(true)}
              />
            )}
            {!own && (
              <AskFirst
                act="Delete"
                about={name}
                question={
                  <>
                    <strong>Everything kept about {name} is deleted and cannot be brought back.</strong> In the
                    histories of houses “a former person” stands where the name was. Readings, works and houses stay.
                  </>
                }
                yes="Delete for good"
                busy={acting.busy}
                onYes={() => void remove()}
              />
            )}
          </div>
          {invitation !== null && <Invitation key={invitation} name={name} address={invitation} />}
        </div>
      </details>
      {acting.trouble && <TroubleBox trouble={acting.trouble} />}
      <p role="status" class="small">
        {acting.said}
      </p>
    </li>
  )
}

function ChangePerson({ person, houses, onChanged }: Given) {
  const [name, setName] = useState(person.name)
  const [role, setRole] = useState(person.role)
  const [given, setGiven] = useState(person.houses)
  const acting = useActing(['/name'])
  const { caller } = useCaller()
  const changed = name.trim() !== person.name || role !== person.role || given.join() !== person.houses.join()
  const store = () =>
    acting.run(async () => {
      const next = { name: name.trim(), role, houses: role === 'contractor' ? [] : given }
      await send('PATCH', `/api/people/${person.id}`, next)
      onChanged()
      return 'Stored.'
    })
  return (
    <Form
      acting={acting}
      label={`Change ${person.name}`}
      submit="Store"
      ready={changed && name.trim() !== ''}
      onSend={() => void store()}
    >
      <div class="fields">
        <Line label="Name" path="/name" faults={acting.faults} value={name} onChange={setName} autocomplete="off" />
        {caller.id !== person.id && (
          <ChoiceField
            label="As"
            none={null}
            path="/role"
            faults={acting.faults}
            value={role}
            choices={ROLES.map((value) => ({ value, label: ROLE_WORDS[value] }))}
            onChange={(chosen) => setRole(chosen ?? person.role)}
          />
        )}
        {role !== 'contractor' && <HousesChoice houses={houses} chosen={given} onChange={setGiven} />}
      </div>
    </Form>
  )
}
