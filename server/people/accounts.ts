/** What a contractor does about people: invite, change, close, delete; and links and owners of a house. */

import { readFirm } from '../store/firm.ts'
import { findHouse } from '../store/houses.ts'
import { addLink, listLinks, revokeLink } from '../store/ownerLinks.ts'
import { addPerson, findListedPerson, type ListedPerson, listPeople } from '../store/people.ts'
import { changePerson, handOverHouse } from '../store/peopleChange.ts'
import { deletePerson } from '../store/peopleDelete.ts'
import { exportPerson } from '../store/peopleExport.ts'
import { addCode } from '../store/personCodes.ts'
import { ROLES } from '../store/schema.ts'
import { invitationLetter } from './letters.ts'
import { requireDays } from './ownAccount.ts'
import { linkAddress, linkSignerOf } from './ownerLinks.ts'
import { codeAddress, DAY_MS, LINK_DAYS, MOST_LINK_DAYS, newCode, type Parts } from './parts.ts'
import { requireEmail, requireName } from './personWords.ts'
import { refused, unknownHouse, unknownPerson } from './refused.ts'
import { type Caller, type PeopleDesk, PeopleError, type Role } from './types.ts'

type Accounts = Pick<
  PeopleDesk,
  | 'people'
  | 'addPerson'
  | 'changePerson'
  | 'inviteAgain'
  | 'exportPerson'
  | 'deletePerson'
  | 'links'
  | 'addLink'
  | 'revokeLink'
  | 'handOver'
>

export function createAccounts({ db, now, publicUrl, sendLetter }: Parts): Accounts {
  const byWhom = (by: Caller | 'the command line') => ({ now: now(), who: typeof by === 'string' ? by : by.name })

  async function invitationTo(person: ListedPerson, code: string, onceKey: string): Promise<string> {
    const address = codeAddress(publicUrl, code)
    const { name: firm } = await readFirm(db)
    const { id: personId, role } = person
    await sendLetter?.(invitationLetter({ ...person, personId }, { role, firm, address, onceKey }))
    return address
  }

  return {
    people: () => listPeople(db),

    async addPerson({ name, email, role, houses }, by) {
      requireRole(role)
      const asked = { name: requireName(name), email: requireEmail(email), role, houses }
      const { code, kept } = newCode('invitation', now())
      const added = await addPerson(db, asked, { ...byWhom(by), invitation: kept })
      if (!added.done) throw refused(added)
      return { person: added.person, invitation: await invitationTo(added.person, code, onceKeyOf(kept)) }
    },

    async changePerson(personId, { name, role, houses, closed }, by) {
      if (role !== undefined) requireRole(role)
      const asked = { role, houses, closed, ...(name !== undefined && { name: requireName(name) }) }
      const changed = await changePerson(db, personId, asked, byWhom(by))
      if (!changed.done) throw refused(changed)
      return changed.person
    },

    async inviteAgain(personId) {
      const person = await findListedPerson(db, personId)
      if (person === undefined) throw unknownPerson()
      if (person.closed) {
        throw new PeopleError('BAD_PERSON', `The account of ${person.name} is closed.`, 'Open it first.')
      }
      const { code, kept } = newCode('invitation', now())
      await addCode(db, personId, kept, now())
      return { invitation: await invitationTo(person, code, onceKeyOf(kept)) }
    },

    async exportPerson(personId) {
      const all = await exportPerson(db, personId)
      if (all === undefined) throw unknownPerson()
      return all
    },

    async deletePerson(personId, by) {
      const why = await deletePerson(db, personId, byWhom(by))
      if (why !== 'done') throw refused({ why })
    },

    async links(house) {
      await requireHouse(house)
      return listLinks(db, house)
    },

    async addLink(house, { personId, days }, by) {
      requireDays(days, MOST_LINK_DAYS)
      await requireHouse(house)
      const endsAt = now() + days * DAY_MS
      const id = await addLink(db, { house, personId, endsAt }, byWhom(by))
      if (id === null) {
        throw new PeopleError('UNKNOWN_PERSON', 'This person does not own the house.', 'Give them the house first.', {
          where: 'personId',
        })
      }
      return { id, address: linkAddress(publicUrl, (await linkSignerOf(db)).sign({ id, endsAt })) }
    },

    revokeLink: (house, id, by) => revokeLink(db, { house, id }, byWhom(by)),

    async handOver(house, to, by) {
      const [name, email] = [requireName(to.name), requireEmail(to.email)]
      const linkEndsAt = now() + LINK_DAYS * DAY_MS
      const handed = await handOverHouse(db, { house, name, email, linkEndsAt }, byWhom(by))
      if (!handed.done) throw refused({ ...handed, house })
      const link = (await linkSignerOf(db)).sign({ id: handed.link, endsAt: linkEndsAt })
      return { person: handed.person, address: linkAddress(publicUrl, link) }
    },
  }

  async function requireHouse(key: string): Promise<void> {
    if ((await findHouse(db, key)) === undefined) throw unknownHouse(key)
  }
}

const onceKeyOf = ({ secretHash }: { secretHash: string }): string => `invitation ${secretHash}`

function requireRole(role: Role): void {
  if (ROLES.includes(role)) return
  throw new PeopleError('BAD_PERSON', 'There is no such role.', `Take ${ROLES.join(', ')}.`, { where: 'role' })
}
