import { type Static, Type } from 'typebox'

const texts = Type.Array(Type.String())

/** SI. `low` and `high` bound it; `interval` says what they are. */
export const FindingNumberSchema = Type.Object({
  value: Type.Number(),
  unit: Type.String({ description: 'such as Pa, °C, % of dry mass, mm, days; "1" and "count" have none' }),
  low: Type.Optional(Type.Number()),
  high: Type.Optional(Type.Number()),
  interval: Type.Optional(Type.String()),
})

/** The texts with their numbers put in, in the units asked for. */
export const WordedSchema = Type.Object({
  sentence: Type.String(),
  evidenceFor: texts,
  evidenceAgainst: texts,
  wouldChangeIt: Type.String(),
  missing: Type.Optional(texts),
})

/** One conclusion. Every text holds `{name}` where a number of `numbers` belongs. */
export const FindingSchema = Type.Object({
  question: Type.String(),
  subject: Type.Object({
    space: Type.Optional(Type.String()),
    spot: Type.Optional(Type.String({ description: 'space key / spot key' })),
    works: Type.Optional(texts),
    period: Type.Optional(Type.String({ description: 'P0 is before the first work' })),
    surface: Type.Optional(Type.String()),
    source: Type.Optional(Type.String()),
    remedy: Type.Optional(Type.String()),
  }),
  sentence: Type.String(),
  numbers: Type.Record(Type.String(), FindingNumberSchema),
  evidenceFor: texts,
  evidenceAgainst: texts,
  certainty: Type.Enum(['shown', 'likely', 'weak', 'cannot tell']),
  wouldChangeIt: Type.String(),
  missing: Type.Optional(texts),
  data: Type.Optional(Type.Unknown({ description: 'lists for screens; their shape belongs to the question' })),
  /** Only when units were asked for. */
  worded: Type.Optional(WordedSchema),
})
export type FindingAnswer = Static<typeof FindingSchema>

export const HouseFindingsSchema = Type.Object({
  house: Type.Object({
    key: Type.String(),
    name: Type.String(),
    /** A made-up house is marked wherever it is shown. */
    invented: Type.Boolean(),
    timeZone: Type.String(),
  }),
  findings: Type.Array(FindingSchema),
})
export type HouseFindingsAnswer = Static<typeof HouseFindingsSchema>

export const HouseKeyParams = Type.Object({ id: Type.String({ pattern: '^[a-z0-9][a-z0-9._-]{0,63}$' }) })
export const FindingsQuery = Type.Object(
  { units: Type.Optional(Type.Enum(['us', 'si'])) },
  { additionalProperties: false },
)
