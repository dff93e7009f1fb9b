/** Coming in: by the first code, by password, by a link, by a code that sets a password; and leaving. */
import { readFirm } from '../store/firm.ts'
import { enterByLink } from '../store/ownerLinks.ts'
import { beginFirm, findListedPerson, findPersonByEmail, hasContractor } from '../store/people.ts'
import { addCode, setPasswordByCode, whoseCode } from '../store/personCodes.ts'
import { addSession, knownFrom, removeSession } from '../store/sessions.ts'
import { newFirstCode, sameCode } from './firstRun.ts'
import { forgottenLetter } from './letters.ts'
import { linkSignerOf } from './ownerLinks.ts'
import { callerBy, codeAddress, newCode, newSession, type Parts, signedIn } from './parts.ts'
import { emailFrom, requireEmail, requireName } from './personWords.ts'
import { badCode, refused } from './refused.ts'
import { hashOf } from './secrets.ts'
import * as limits from './throttle.ts'
import { networkOf } from './throttle.ts'
import { type PeopleDesk, PeopleError } from './types.ts'
import { refuseWeak } from './weakPasswords.ts'

type SignInDesk = Pick<
  PeopleDesk,
  'begun' | 'firstCode' | 'begin' | 'signIn' | 'enter' | 'signOut' | 'forgotPassword' | 'setPassword'
>

/** Longer than looking for an account, storing a code and storing a letter take, so that the time tells nothing. A proposal. */
const FORGOTTEN_MS = 400

/** @param wait for so many milliseconds */
export function createSignIn(parts: Parts, wait: (ms: number) => Promise<void>): SignInDesk {
  const { db, now, publicUrl, passwords, throttle, sendLetter } = parts
  const theFirstCode = newFirstCode()
  const begun = () => hasContractor(db)

  return {
    begun,
    firstCode: async () => ((await begun()) ? null : theFirstCode),

    async begin({ code, firm, name, email, password }, client) {
      throttle.take('', limits.FIRST_CODES) // whoever asks: there is one code
      if ((await begun()) || !sameCode(code, theFirstCode)) throw badCode()
      throttle.giveBack('', limits.FIRST_CODES)
      const person = { firm: requireName(firm, 'firm'), name: requireName(name), email: requireEmail(email) }
      refuseWeak(password, person)
      const passwordHash = await passwords.hash(password)
      const { secret, session } = newSession(client, { now: now() })
      const begin = await beginFirm(db, { ...person, passwordHash, session }, now())
      if (!begin.done) throw refused(begin)
      const { personId, sessionId } = begin
      return signedIn({ ...person, personId, role: 'contractor', houses: [] }, { ...session, sessionId, secret })
    },

    async signIn({ email: typed, password }, client) {
      const email = emailFrom(typed) ?? typed.slice(0, 254).toLowerCase()
      const network = networkOf(client.address)
      throttle.take(network, limits.SIGN_INS_FROM)
      const known = await knownFrom(db, { email, address: client.address, now: now() })
      const account = known ? `${email} from ${network}` : email
      throttle.take(account, limits.SIGN_INS_TO)
      const person = await findPersonByEmail(db, email)
      // The same work whether there is an account, a password, or neither.
      const right = await passwords.matches(password, person?.passwordHash ?? null)
      if (person === undefined || !right || person.closedAt !== null) throw wrongSignIn()
      throttle.giveBack(network, limits.SIGN_INS_FROM)
      throttle.giveBack(account, limits.SIGN_INS_TO)
      const { secret, session } = newSession(client, { now: now() })
      const sessionId = await addSession(db, person.id, session, now())
      return signedInAs(person.id, { ...session, sessionId, secret })
    },

    async enter(link, client) {
      const network = networkOf(client.address)
      throttle.take(network, limits.LINKS_FROM)
      const signed = (await linkSignerOf(db)).read(link)
      if (signed === null) throw badLink()
      const { secret, session } = newSession(client, { now: now(), until: signed.endsAt })
      const entered = await enterByLink(db, { ...signed, session }, now())
      if (entered === null) throw badLink()
      throttle.giveBack(network, limits.LINKS_FROM)
      const { house, sessionId, ...person } = entered
      const caller = callerBy({ ...person, role: 'owner', houses: [house] }, { via: 'link', scope: 'write', sessionId })
      return { caller, secret, endsAt: session.endsAt }
    },

    signOut: (sessionId) => removeSession(db, sessionId),

    async forgotPassword(typed, client) {
      throttle.take(networkOf(client.address), limits.FORGOTTEN_FROM)
      const email = emailFrom(typed)
      await Promise.all([wait(FORGOTTEN_MS), email !== null && sendForgotten(email)])
    },

    async setPassword({ code, password }, client) {
      const network = networkOf(client.address)
      throttle.take(network, limits.CODES_FROM)
      const secretHash = hashOf(code)
      const person = await whoseCode(db, secretHash, now())
      if (person === undefined) throw badCode()
      throttle.giveBack(network, limits.CODES_FROM)
      const { name: firm } = await readFirm(db)
      refuseWeak(password, { ...person, firm })
      const passwordHash = await passwords.hash(password)
      const { secret, session } = newSession(client, { now: now() })
      const set = await setPasswordByCode(db, { secretHash, passwordHash, session }, now())
      if (set === null) throw badCode() // used by another request, or over, since it was looked at
      return signedInAs(set.personId, { ...session, sessionId: set.sessionId, secret })
    },
  }

  async function sendForgotten(email: string): Promise<void> {
    const mayGo = throttle.mayTake(email, limits.FORGOTTEN_LETTERS)
    const [person, firm] = [await findPersonByEmail(db, email), await readFirm(db)]
    if (!mayGo || sendLetter === undefined || person === undefined || person.closedAt !== null) return
    const { code, kept } = newCode('forgotten password', now())
    await addCode(db, person.id, kept, now())
    const onceKey = `forgotten password ${kept.secretHash}`
    const address = codeAddress(publicUrl, code)
    await sendLetter(forgottenLetter({ ...person, personId: person.id }, { firm: firm.name, address, onceKey }))
  }

  async function signedInAs(personId: number, made: { sessionId: number; secret: string; endsAt: number }) {
    const person = await findListedPerson(db, personId)
    if (person === undefined) throw wrongSignIn() // deleted in this very moment
    return signedIn({ ...person, personId }, made)
  }
}

const wrongSignIn = () =>
  new PeopleError(
    'SIGN_IN_REFUSED',
    'The e-mail address and the password do not belong together.',
    'Look at both once more, or ask for a new password.',
  )

const badLink = () =>
  new PeopleError(
    'BAD_LINK',
    'The link does not open the house: it is not whole, its time is over, or it was taken back.',
    'Ask whoever gave it to you for a new one.',
  )
