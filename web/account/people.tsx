/** Whom the firm lets in: contractors, technicians with their houses, owners with theirs. */
import { useEffect, useState } from 'preact/hooks'
import type { NewPersonAnswer, PeopleAnswer } from '../../server/http/contract/people.ts'
import { ROLES } from '../../server/http/contract/words.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting, Section } from '../base/parts.tsx'
import { FirmPart } from '../owner/firm.tsx'
import '../enter/enter.css'
import './account.css'
import { AddPerson } from './addPerson.tsx'
import { Invitation } from './invitation.tsx'
import { OnePerson } from './person.tsx'
import { ROLE_HEADS, ROLE_MEANS } from './roles.ts'

export default function PeoplePage() {
  const loaded = useLoad<PeopleAnswer>('/api/people')
  const [added, setAdded] = useState<NewPersonAnswer | null>(null)
  const { body, again } = loaded
  useEffect(() => {
    document.title = 'People · Underjoist'
  }, [])
  return (
    <>
      <h1 tabIndex={-1}>People</h1>
      <p>
        Each person has an account of their own: histories tell who did what, and one who leaves is closed out alone.
      </p>
      {body === null ? (
        <Awaiting loaded={loaded} what="the people" again={again} />
      ) : (
        <>
          <Section class="part" id="add" title="Let somebody in">
            {added !== null && <Invitation key={added.person.id} name={added.person.name} address={added.invitation} />}
            <AddPerson
              houses={body.houses}
              onAdded={(person) => {
                setAdded(person)
                again()
              }}
            />
          </Section>
          {ROLES.map((role) => {
            const people = body.people.filter((person) => person.role === role)
            return (
              <Section key={role} class="part" id={role} title={ROLE_HEADS[role]} note={ROLE_MEANS[role]}>
                {people.length === 0 ? (
                  <p>There is none.</p>
                ) : (
                  <ul class="lines">
                    {people.map((person) => (
                      <OnePerson key={person.id} person={person} houses={body.houses} onChanged={again} />
                    ))}
                  </ul>
                )}
              </Section>
            )
          })}
        </>
      )}
      <FirmPart />
    </>
  )
}
