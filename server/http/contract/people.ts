/** Signing in, one's own account, the people of the firm, and the links of owners. */
import { type Static, Type } from 'typebox'
import { Instant, NullableText, nullable } from './shapes.ts'
import { ROLES, TOKEN_SCOPES } from './words.ts'

const RoleSchema = Type.Enum([...ROLES])
const ScopeSchema = Type.Enum([...TOKEN_SCOPES], {
  description: 'read: look alone; readings: bring readings in, nothing else; write: all that its person may',
})
const HouseKey = Type.String({ pattern: '^[a-z0-9][a-z0-9._-]{0,63}$' })
const HouseNameSchema = Type.Object({ key: Type.String(), name: Type.String() })
/** What is wrong with them is told by the desk, in a sentence; these bounds only keep out what is nobody's. */
const Name = Type.String({ minLength: 1, maxLength: 200 })
const Email = Type.String({ minLength: 1, maxLength: 320 })
const Password = Type.String({ minLength: 1, maxLength: 1000 })
const Code = Type.String({ minLength: 1, maxLength: 400 })
const Days = Type.Integer({ minimum: 1, maximum: 3650 })
const exact = { additionalProperties: false }

export const CallerSchema = Type.Object({
  id: Type.Integer(),
  name: Type.String(),
  role: RoleSchema,
  houses: Type.Union([Type.Array(HouseNameSchema), Type.Literal('all')]),
  via: Type.Enum(['password', 'token', 'link', 'this machine']),
})
export type CallerAnswer = Static<typeof CallerSchema>

/** `GET /api/sign-in`: what the pages ask first. */
export const SignInStateSchema = Type.Object({
  /** False until the firm has its first account. */
  begun: Type.Boolean(),
  caller: nullable(CallerSchema),
  /** Nobody signs in: whoever sits at this machine is the contractor. */
  demo: Type.Boolean(),
  /** Of the address people open: what is printed or handed over leads there, wherever it was made. null in the demo. */
  origin: NullableText,
})
export type SignInState = Static<typeof SignInStateSchema>

export const SignInBody = Type.Object({ email: Email, password: Password }, exact)
export const FirstBody = Type.Object({ code: Code, firm: Name, name: Name, email: Email, password: Password }, exact)
export const LinkBody = Type.Object({ link: Code }, exact)
export const ForgotBody = Type.Object({ email: Email }, exact)
export const SetPasswordBody = Type.Object({ code: Code, password: Password }, exact)

export const SessionsSchema = Type.Object({
  sessions: Type.Array(
    Type.Object({
      id: Type.Integer(),
      createdAt: Instant,
      seenAt: Instant,
      endsAt: Instant,
      agent: Type.String({ description: 'what the browser calls itself' }),
      address: Type.String(),
      viaLink: Type.Boolean(),
      thisOne: Type.Boolean(),
    }),
  ),
})
export type SessionsAnswer = Static<typeof SessionsSchema>
export const EndedSchema = Type.Object({ ended: Type.Integer() })
export const ChangePasswordBody = Type.Object({ old: Password, password: Password }, exact)

export const TokensSchema = Type.Object({
  tokens: Type.Array(
    Type.Object({
      id: Type.Integer(),
      name: Type.String(),
      scope: ScopeSchema,
      createdAt: Instant,
      endsAt: Instant,
      usedAt: nullable(Instant),
    }),
  ),
})
export type TokensAnswer = Static<typeof TokensSchema>
export const NewTokenBody = Type.Object({ name: Name, scope: ScopeSchema, days: Days }, exact)
/** The token is shown once: only its hash is kept. */
export const NewTokenSchema = Type.Object({ id: Type.Integer(), token: Type.String() })
export type NewTokenAnswer = Static<typeof NewTokenSchema>

/** Everything that is kept about a person. */
export const ExportSchema = Type.Unsafe<Record<string, unknown>>({ type: 'object', additionalProperties: true })

export const PersonSchema = Type.Object({
  id: Type.Integer(),
  name: Type.String(),
  email: Type.String(),
  role: RoleSchema,
  createdAt: Instant,
  hasPassword: Type.Boolean(),
  closed: Type.Boolean(),
  houses: Type.Array(Type.String(), { description: 'keys; empty for contractors, who reach all' }),
})
export type PersonAnswer = Static<typeof PersonSchema>
export const PeopleSchema = Type.Object({ people: Type.Array(PersonSchema), houses: Type.Array(HouseNameSchema) })
export type PeopleAnswer = Static<typeof PeopleSchema>

const Houses = Type.Array(HouseKey, { maxItems: 1000 })
export const NewPersonBody = Type.Object({ name: Name, email: Email, role: RoleSchema, houses: Houses }, exact)
export const PersonChangeBody = Type.Object(
  {
    name: Type.Optional(Name),
    role: Type.Optional(RoleSchema),
    houses: Type.Optional(Houses),
    closed: Type.Optional(Type.Boolean()),
  },
  exact,
)
/** The address of a page where a password is chosen; good once, to be handed over to its person alone. */
export const InvitationSchema = Type.Object({ invitation: Type.String() })
export type InvitationAnswer = Static<typeof InvitationSchema>
export const NewPersonSchema = Type.Object({ person: PersonSchema, ...InvitationSchema.properties })
export type NewPersonAnswer = Static<typeof NewPersonSchema>

/** `GET /api/houses/:id/people`: who reaches a house beside the contractors, and the links that open it. */
export const HousePeopleSchema = Type.Object({
  house: HouseNameSchema,
  people: Type.Array(PersonSchema),
  links: Type.Array(
    Type.Object({
      id: Type.Integer(),
      house: Type.String(),
      personId: Type.Integer(),
      name: Type.String(),
      email: Type.String(),
      createdAt: Instant,
      endsAt: Instant,
      usedAt: nullable(Instant),
    }),
  ),
})
export type HousePeopleAnswer = Static<typeof HousePeopleSchema>
export const NewLinkBody = Type.Object({ personId: Type.Integer({ minimum: 1 }), days: Days }, exact)
export const NewLinkSchema = Type.Object({ id: Type.Integer(), address: Type.String() })
export type NewLinkAnswer = Static<typeof NewLinkSchema>
export const HandOverBody = Type.Object({ name: Name, email: Email }, exact)
export const HandedOverSchema = Type.Object({ person: PersonSchema, address: Type.String() })
export type HandedOverAnswer = Static<typeof HandedOverSchema>
