/** What people do about their own account: password, browsers that are signed in, tokens for programs. */
import { addToken, listTokens, MOST_TOKENS, revokeToken } from '../store/apiTokens.ts'
import { readFirm } from '../store/firm.ts'
import { findListedPerson, findPerson } from '../store/people.ts'
import { replacePassword } from '../store/personCodes.ts'
import { TOKEN_SCOPES } from '../store/schema.ts'
import { listSessions, removeOtherSessions, removeSessionOf } from '../store/sessions.ts'
import { TOKEN_PREFIX } from './identify.ts'
import { DAY_MS, IDLE_MS, MOST_TOKEN_DAYS, newSession, type Parts, signedIn } from './parts.ts'
import { requireName } from './personWords.ts'
import { unknownPerson } from './refused.ts'
import { hashOf, newSecret } from './secrets.ts'
import { OLD_PASSWORDS } from './throttle.ts'
import { type PeopleDesk, PeopleError } from './types.ts'
import { refuseWeak } from './weakPasswords.ts'

type OwnAccount = Pick<
  PeopleDesk,
  'changePassword' | 'sessions' | 'endSession' | 'endOtherSessions' | 'tokens' | 'addToken' | 'revokeToken'
>

export function createOwnAccount({ db, now, passwords, throttle }: Parts): OwnAccount {
  return {
    async changePassword({ personId, via }, { old, password }, client) {
      throttle.take(String(personId), OLD_PASSWORDS)
      const person = await findPerson(db, personId)
      const right = await passwords.matches(old, person?.passwordHash ?? null)
      if (!right || !person?.passwordHash || via !== 'password') throw wrongOldPassword()
      throttle.giveBack(String(personId), OLD_PASSWORDS)
      refuseWeak(password, { ...person, firm: (await readFirm(db)).name })
      const passwordHash = await passwords.hash(password)
      const { secret, session } = newSession(client, { now: now() })
      const oldHash = person.passwordHash
      const sessionId = await replacePassword(db, personId, { oldHash, passwordHash, session }, now())
      const changed = await findListedPerson(db, personId)
      if (sessionId === null || changed === undefined) throw wrongOldPassword() // changed by another request meanwhile
      return signedIn({ ...changed, personId }, { ...session, sessionId, secret })
    },

    sessions: (personId) => listSessions(db, personId, { now: now(), seenAfter: now() - IDLE_MS }),
    endSession: (personId, sessionId) => removeSessionOf(db, personId, sessionId),
    endOtherSessions: ({ personId, sessionId }) => removeOtherSessions(db, personId, sessionId),

    tokens: (personId) => listTokens(db, personId),

    async addToken({ personId, via }, asked) {
      if (via === 'link' || via === 'token') throw notByLink() // it would outlive what it came by
      const name = requireName(asked.name)
      const { scope, days } = asked
      if (!TOKEN_SCOPES.includes(scope)) {
        throw new PeopleError('BAD_PERSON', 'There is no such scope.', `Take ${TOKEN_SCOPES.join(', ')}.`, {
          where: 'scope',
        })
      }
      requireDays(days, MOST_TOKEN_DAYS)
      const token = `${TOKEN_PREFIX}${newSecret()}`
      const made = { name, scope, secretHash: hashOf(token), endsAt: now() + days * DAY_MS }
      if ((await findPerson(db, personId)) === undefined) throw unknownPerson()
      const id = await addToken(db, personId, made, now())
      if (id === null) {
        throw new PeopleError('BAD_PERSON', `You have ${MOST_TOKENS} tokens already.`, 'Revoke one that is not needed.')
      }
      return { id, token }
    },
    revokeToken: (personId, tokenId) => revokeToken(db, personId, tokenId, now()),
  }
}

/** @throws PeopleError BAD_PERSON */
export function requireDays(days: number, most: number): void {
  if (Number.isInteger(days) && days >= 1 && days <= most) return
  throw new PeopleError(
    'BAD_PERSON',
    `${days} days is no time for it.`,
    `Take a whole number of days from 1 to ${most}.`,
    {
      where: 'days',
    },
  )
}

const notByLink = () =>
  new PeopleError('BAD_PERSON', 'A link or a token is not enough to make tokens.', 'Sign in with your password first.')

const wrongOldPassword = () =>
  new PeopleError(
    'SIGN_IN_REFUSED',
    'The old password is not right.',
    'Look at it once more. If it is lost, sign out and ask for a new one.',
    { where: 'old' },
  )
