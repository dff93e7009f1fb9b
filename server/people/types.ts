/** Who calls, why somebody is turned away, and everything the service does with people. */
import type { ListedToken } from '../store/apiTokens.ts'
import type { ListedLink } from '../store/ownerLinks.ts'
import type { ListedPerson } from '../store/people.ts'
import type { Role, TokenScope } from '../store/schema.ts'
import type { ListedSession } from '../store/sessions.ts'

export type { Role, TokenScope }

/** Who makes a request, worked out once at its beginning. */
export interface Caller {
  personId: number
  name: string
  email: string
  role: Role
  /** Keys of the houses within reach: a contractor reaches all. */
  houses: 'all' | ReadonlySet<string>
  /** How it was shown who calls; 'this machine' only where the demo signs its visitor in by itself. */
  via: 'password' | 'token' | 'link' | 'this machine'
  /** What a token may do; everything its role may for people who signed in. */
  scope: TokenScope
  /** The browser's session; null for tokens and the demo's visitor. */
  sessionId: number | null
}

/** Where a request comes from, as far as that helps its owner to know it again. */
export interface Client {
  address: string
  agent: string
}

/** A session that was just made. The secret goes into the cookie and is kept nowhere. */
export interface SignedIn {
  caller: Caller
  secret: string
  endsAt: number
}

/** The reasons a desk turns somebody away for; `message` and `hint` are for people. */
export type PeopleRefusal =
  | 'SIGN_IN_REFUSED' // wrong address or password, or closed: the same sentence for each
  | 'BAD_CODE' // unknown, used or over
  | 'BAD_LINK' // not signed here, over or revoked
  | 'WEAK_PASSWORD'
  | 'EMAIL_TAKEN'
  | 'UNKNOWN_PERSON'
  | 'UNKNOWN_HOUSE'
  | 'LAST_CONTRACTOR' // the firm would lock itself out
  | 'BAD_PERSON'
  | 'TOO_MANY' // throttled; `retryAfterS` says for how long

export class PeopleError extends Error {
  override name = 'PeopleError'
  readonly code: PeopleRefusal
  readonly hint: string
  /** Which part of what was asked is at fault; null where it is none in particular. */
  readonly where: string | null
  readonly retryAfterS: number | null

  constructor(
    code: PeopleRefusal,
    message: string,
    hint: string,
    { where = null, retryAfterS = null }: { where?: string | null; retryAfterS?: number | null } = {},
  ) {
    super(message)
    this.code = code
    this.hint = hint
    this.where = where
    this.retryAfterS = retryAfterS
  }
}

/** Everything the service does with people. All throw {@link PeopleError} where they turn somebody away. */
export interface PeopleDesk {
  /** Whether the firm has an account at all; until then only the code printed at the start lets somebody in. */
  begun(): Promise<boolean>
  /** The code of the first run, for the log; null once there is an account. */
  firstCode(): Promise<string | null>
  begin(
    asked: { code: string; firm: string; name: string; email: string; password: string },
    client: Client,
  ): Promise<SignedIn>

  signIn(asked: { email: string; password: string }, client: Client): Promise<SignedIn>
  /** A link an owner was given. */
  enter(link: string, client: Client): Promise<SignedIn>
  /** @returns null when neither shows anybody; sessions and tokens that ended show nobody */
  identify(shown: { cookie?: string; bearer?: string }): Promise<Caller | null>
  signOut(sessionId: number): Promise<void>

  /** Answers the same and in the same time whether or not there is such an account. */
  forgotPassword(email: string, client: Client): Promise<void>
  /** Of an invitation or a forgotten password; all other sessions of the person end. */
  setPassword(asked: { code: string; password: string }, client: Client): Promise<SignedIn>
  changePassword(caller: Caller, asked: { old: string; password: string }, client: Client): Promise<SignedIn>

  sessions(personId: number): Promise<ListedSession[]>
  endSession(personId: number, sessionId: number): Promise<boolean>
  endOtherSessions(caller: Caller): Promise<number>

  tokens(personId: number): Promise<ListedToken[]>
  /** @returns the token, shown once */
  addToken(
    caller: Caller,
    asked: { name: string; scope: TokenScope; days: number },
  ): Promise<{ id: number; token: string }>
  revokeToken(personId: number, tokenId: number): Promise<boolean>

  people(): Promise<ListedPerson[]>
  /** @returns with the address of the invitation's page to hand over; it is mailed too where letters go out */
  addPerson(
    asked: { name: string; email: string; role: Role; houses: string[] },
    by: Caller | 'the command line',
  ): Promise<{ person: ListedPerson; invitation: string }>
  changePerson(
    personId: number,
    asked: { name?: string; role?: Role; houses?: string[]; closed?: boolean },
    by: Caller,
  ): Promise<ListedPerson>
  inviteAgain(personId: number): Promise<{ invitation: string }>
  /** Everything kept about a person, as JSON can hold it. */
  exportPerson(personId: number): Promise<Record<string, unknown>>
  /** Takes them out of every table; in histories "a former person" stands where their name was. */
  deletePerson(personId: number, by: Caller): Promise<void>

  links(house: string): Promise<ListedLink[]>
  /** @returns the address to hand over; the secret part stands behind "#", which no server and no log gets to see */
  addLink(
    house: string,
    asked: { personId: number; days: number },
    by: Caller,
  ): Promise<{ id: number; address: string }>
  revokeLink(house: string, linkId: number, by: Caller): Promise<boolean>
  /** The house's owner is another person from now on: the old ones' links, sessions by link and reach end at once. */
  handOver(
    house: string,
    to: { name: string; email: string },
    by: Caller,
  ): Promise<{ person: ListedPerson; address: string }>
}
