/**
 * Guided checks of probes, side by side or over a salt, and the coach for placing loggers. `/api/checks…`,
 * `GET /api/houses/:id/placing`. SI throughout.
 */
import { type Static, Type } from 'typebox'
import { EstimateSchema, Instant, NullableNumber, NullableText, nullable, Texts } from './shapes.ts'

const Verdict = Type.Enum(['fine', 'correct', 'reject'])
const Act = Type.Enum(['store', 'keep', 'reject'])
const Kind = Type.Enum(['side by side', 'salt'])
const ProbePath = Type.String({ pattern: '^[^/]+/[^/]+$', description: 'logger key / probe key' })
const Correction = Type.Object({ quantity: Type.Enum(['tempC', 'rhPct']), offset: Type.Number() })

const CheckedProbe = Type.Object({
  path: Type.String(),
  name: Type.String(),
  hasRadio: Type.Boolean(),
  last: nullable(Type.Object({ at: Instant, tempC: Type.Number(), rhPct: Type.Number(), dewPointC: Type.Number() })),
  /** RH since the box was closed, for a small drawing. */
  trace: Type.Object({ at: Type.Array(Type.Number()), rhPct: Type.Array(Type.Number()) }),
  /** Null while it has not settled. */
  verdict: nullable(Verdict),
  reason: Type.String(),
  /** Probe minus what it should read, with its interval (95 % over salt, 90 % side by side). */
  rhPct: nullable(EstimateSchema),
  tempK: nullable(EstimateSchema),
  vaporPa: nullable(EstimateSchema),
  expectedRhPct: NullableNumber,
  /** Of two salts: change of what it reads for one percent of true RH. */
  slope: NullableNumber,
  /** What would be added to its readings. */
  corrections: Type.Array(Correction),
})
export type CheckedProbe = Static<typeof CheckedProbe>

const Standing = Type.Object({
  /** Whether it can be finished. */
  ready: Type.Boolean(),
  /** Null when nobody can say. */
  hoursToGo: NullableNumber,
  /** The same until it is as good as it gets. */
  hoursToAdvised: NullableNumber,
  sentence: Type.String(),
  probes: Type.Array(CheckedProbe),
})

const Ended = Type.Object({
  sentence: Type.String(),
  probes: Type.Array(
    Type.Object({
      ...CheckedProbe.properties,
      act: Act,
      house: NullableText,
      stored: Type.Array(Correction),
      /** The spot it hangs at again; null when nowhere. */
      hungAgain: NullableText,
    }),
  ),
})

const checkProperties = {
  id: Type.Integer(),
  kind: Kind,
  probes: Texts,
  salt: NullableText,
  startedAt: Instant,
  endedAt: nullable(Instant),
  state: Type.Enum(['running', 'done', 'given up']),
  who: Type.String(),
  ended: nullable(Ended),
}

export const CheckSchema = Type.Object({
  ...checkProperties,
  /** Null once it has ended. */
  standing: nullable(Standing),
})
export type CheckAnswer = Static<typeof CheckSchema>

export const ChecksSchema = Type.Object({
  /** Those that run first, then the latest. */
  checks: Type.Array(Type.Object(checkProperties)),
  probes: Type.Array(
    Type.Object({
      path: Type.String(),
      name: Type.String(),
      loggerName: NullableText,
      loggerCode: NullableText,
      hasRadio: Type.Boolean(),
      hung: nullable(
        Type.Object({ house: Type.String(), spot: Type.String(), spotName: Type.String(), fromAt: Instant }),
      ),
      house: NullableText,
      inCheck: nullable(Type.Integer()),
      rejectedAt: nullable(Instant),
      checkedAt: nullable(Instant),
    }),
  ),
  houses: Type.Array(Type.Object({ key: Type.String(), name: Type.String(), invented: Type.Boolean() })),
  salts: Type.Array(
    Type.Object({
      key: Type.String(),
      name: Type.String(),
      /** At 20 °C. */
      rhPct: Type.Number(),
      caution: Type.String(),
    }),
  ),
})
export type ChecksAnswer = Static<typeof ChecksSchema>

/** As if it were read at that instant: when the box was opened. */
export const CheckQuery = Type.Object(
  { until: Type.Optional(Type.String({ pattern: '^[0-9]{1,15}$', description: 'UTC, milliseconds since 1970' })) },
  { additionalProperties: false },
)

export const BeginCheckBody = Type.Object(
  {
    kind: Kind,
    probes: Type.Array(ProbePath, { minItems: 1, maxItems: 24 }),
    /** Key of the salt; left out side by side. */
    salt: Type.Optional(Type.String()),
  },
  { additionalProperties: false },
)
export type BeginCheck = Static<typeof BeginCheckBody>

export const FinishCheckBody = Type.Object(
  {
    /** Probes left out are treated as their verdict says. */
    acts: Type.Array(Type.Object({ probe: ProbePath, act: Act }, { additionalProperties: false })),
    /** Corrections hold from this check on, or from when the probe was hung where it hung last. */
    since: Type.Enum(['check', 'placed']),
    hangAgain: Type.Boolean(),
    /** When the box was opened, for loggers that are read out afterwards; now when left out. */
    until: Type.Optional(Instant),
  },
  { additionalProperties: false },
)
export type FinishCheck = Static<typeof FinishCheckBody>

export const GiveUpCheckBody = Type.Object({ hangAgain: Type.Boolean() }, { additionalProperties: false })
export type GiveUpCheck = Static<typeof GiveUpCheckBody>

export const PlacingSchema = Type.Object({
  /** Most urgent first. */
  advice: Type.Array(
    Type.Object({
      key: Type.String(),
      space: NullableText,
      need: Type.Enum(['air logger', 'surface probe', 'water contact', 'rain gauge or station', 'note']),
      /** One of the loggers at hand can go there now. */
      now: Type.Boolean(),
      where: Type.String(),
      why: Type.String(),
      how: Texts,
    }),
  ),
  enough: Texts,
})
export type PlacingAnswer = Static<typeof PlacingSchema>
