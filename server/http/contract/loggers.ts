/**
 * A logger's life over HTTP: enrolled, placed, heard, moved, swapped, retired; what was refused of what loggers sent; and
 * the live stream. `/api/loggers…`, `/api/houses/:id/visit`, `/api/refused-messages`, `/api/intake`, `/api/live`.
 */
import { type Static, Type } from 'typebox'
import { Instant, NullableNumber, NullableText, nullable, Texts } from './shapes.ts'

const Key = Type.String({ pattern: '^[a-z0-9][a-z0-9._-]{0,63}$' })
const LocalTime = Type.String({
  pattern: '^\\d{4}-\\d\\d-\\d\\dT\\d\\d:\\d\\d$',
  description: 'wall clock of the house',
})
const SpotPath = Type.String({ pattern: '^[^/]+/[^/]+$', description: 'space key / spot key' })

/** SI; null where the last reading does not have it. */
const LastReading = Type.Object({
  at: Instant,
  tempC: NullableNumber,
  rhPct: NullableNumber,
  dewPointC: NullableNumber,
  woodMcPct: NullableNumber,
  waterPresent: nullable(Type.Boolean()),
})

const LoggerProbe = Type.Object({
  probe: Type.String(),
  /** Where it hangs now. */
  placed: nullable(
    Type.Object({
      house: Type.String(),
      houseName: Type.String(),
      spot: SpotPath,
      spotName: Type.String(),
      since: Instant,
    }),
  ),
  last: nullable(LastReading),
})

/**
 * `waiting`: enrolled and never heard. `heard`: within three of its intervals, at least 15 minutes. `late`: longer ago.
 * `read out`: has no radio. `retired`: out of service.
 */
export const LOGGER_STANDINGS = ['late', 'waiting', 'heard', 'read out', 'retired'] as const

export const LoggerSchema = Type.Object({
  key: Type.String(),
  name: NullableText,
  /** Short code on its label; null for loggers that came with a house folder or a file. */
  code: NullableText,
  hasRadio: Type.Boolean(),
  intervalS: NullableNumber,
  standing: Type.Enum([...LOGGER_STANDINGS]),
  /** The house it hangs in, or was enrolled at. */
  house: nullable(Type.Object({ key: Type.String(), name: Type.String(), timeZone: Type.String() })),
  probes: Type.Array(LoggerProbe),
  hasSecret: Type.Boolean(),
  enrolledAt: nullable(Instant),
  retiredAt: nullable(Instant),
  heardAt: nullable(Instant),
  /** Whether it is connected to the broker now; null where nobody said so. */
  connected: nullable(Type.Boolean()),
  batteryV: NullableNumber,
  signalDbm: NullableNumber,
  firmware: NullableText,
  /** Its clock minus ours when it last told its time, seconds. */
  clockOffS: NullableNumber,
  messages: Type.Integer(),
  refused: Type.Integer(),
  /** Numbered messages that will never come, for the logger no longer keeps them. */
  missed: Type.Integer(),
  /** Numbered messages still missing, that the receipt asks for again. */
  missing: Type.Integer(),
})
export type Logger = Static<typeof LoggerSchema>
export const LoggersSchema = Type.Object({ loggers: Type.Array(LoggerSchema) })
export type LoggersAnswer = Static<typeof LoggersSchema>
export const LoggersQuery = Type.Object({ house: Type.Optional(Type.String()) }, { additionalProperties: false })
export const LoggerParams = Type.Object({ key: Type.String() })

/** One or several loggers alike; without a key each is named after its code. */
export const EnrollBody = Type.Object(
  {
    key: Type.Optional(Key),
    count: Type.Optional(Type.Integer({ minimum: 1, maximum: 48 })),
    name: Type.Optional(Type.String({ minLength: 1, maxLength: 200 })),
    probes: Type.Array(Key, { minItems: 1, maxItems: 8, description: 'such as ["air"]' }),
    hasRadio: Type.Boolean(),
    intervalS: Type.Integer({ minimum: 10, maximum: 86_400 }),
    /** House it will hang in, so that it is found there before it is placed. */
    house: Type.Optional(Type.String()),
  },
  { additionalProperties: false },
)
export type Enroll = Static<typeof EnrollBody>

/** The secret is told this once; only its hash is kept. Null for loggers without radio. */
export const EnrolledSchema = Type.Object({
  enrolled: Type.Array(Type.Object({ logger: LoggerSchema, secret: NullableText })),
})
export type EnrolledAnswer = Static<typeof EnrolledSchema>
export const SecretSchema = Type.Object({ logger: LoggerSchema, secret: Type.String() })
export type SecretAnswer = Static<typeof SecretSchema>

export const LoggerChangeBody = Type.Object(
  {
    name: Type.Optional(nullable(Type.String({ minLength: 1, maxLength: 200 }))),
    intervalS: Type.Optional(Type.Integer({ minimum: 10, maximum: 86_400 })),
    hasRadio: Type.Optional(Type.Boolean()),
  },
  { additionalProperties: false },
)
export type LoggerChange = Static<typeof LoggerChangeBody>

/** From now, or from a local time of that house, the probe hangs there; where it hung before ends at the same moment. */
export const PlaceBody = Type.Object(
  {
    house: Type.String(),
    at: Type.Optional(LocalTime),
    probes: Type.Array(Type.Object({ probe: Type.String(), spot: SpotPath }, { additionalProperties: false }), {
      minItems: 1,
    }),
  },
  { additionalProperties: false },
)
export type Place = Static<typeof PlaceBody>
/** Where it hung ends now, or at a local time of the house it hangs in. */
export const PickUpBody = Type.Object({ at: Type.Optional(LocalTime) }, { additionalProperties: false })
/** The other logger takes over every spot of this one, probe by probe, at one moment. */
export const SwapBody = Type.Object({ with: Key, at: Type.Optional(LocalTime) }, { additionalProperties: false })
export const RetireBody = Type.Object(
  { why: Type.Optional(Type.String({ minLength: 1, maxLength: 400 })) },
  { additionalProperties: false },
)

/** Somebody is under the house: readings from in to out are left out of every judgment. */
export const VisitBody = Type.Object(
  { step: Type.Enum(['in', 'out']), note: Type.Optional(Type.String({ maxLength: 400 })) },
  { additionalProperties: false },
)
export const VisitSchema = Type.Object({ insideSince: nullable(Instant) })
export type VisitAnswer = Static<typeof VisitSchema>

export const RefusedMessageSchema = Type.Object({
  id: Type.Integer(),
  /** Empty for whoever is not known here. */
  logger: Type.String(),
  reason: Type.String(),
  count: Type.Integer(),
  firstAt: Instant,
  lastAt: Instant,
  topic: Type.String(),
  /** Beginning of the last one, as text; bytes that are no text are shown as · */
  payload: Type.String(),
  payloadBytes: Type.Integer(),
  problem: Type.String(),
  fix: Type.String(),
})
export const RefusedMessagesSchema = Type.Object({ refused: Type.Array(RefusedMessageSchema) })
export type RefusedMessagesAnswer = Static<typeof RefusedMessagesSchema>

/** How live readings come in, in sentences where something is wrong. */
export const IntakeSchema = Type.Object({
  broker: Type.Object({
    kind: Type.Enum(['own', 'outside', 'none']),
    /** Where loggers connect, or the outside broker's address without password; empty when there is none. */
    address: Type.String(),
    state: Type.Enum(['listening', 'connected', 'connecting', 'waiting', 'off']),
    since: Instant,
    /** What is wrong and what to do; null when nothing is. */
    problem: NullableText,
    /** When it is tried again; null when it is not waiting. */
    nextTryAt: nullable(Instant),
    connections: Type.Integer(),
  }),
  /** Why readings are not stored for now; null when they are. */
  paused: NullableText,
  waitingMessages: Type.Integer(),
  /** Houses of which nothing at all is heard though several loggers hang there: gateway or power. */
  silentHouses: Type.Array(
    Type.Object({
      house: Type.String(),
      name: Type.String(),
      loggers: Type.Integer(),
      since: Instant,
      sentence: Type.String(),
    }),
  ),
  notes: Texts,
})
export type IntakeAnswer = Static<typeof IntakeSchema>

/** `GET /api/live`: server-sent events. `loggers` carries all at first, then those that changed; `intake` its state. */
export type LiveEvent = { event: 'loggers'; data: LoggersAnswer } | { event: 'intake'; data: IntakeAnswer }
