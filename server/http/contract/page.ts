/**
 * `GET /api/houses/:id/page?units=`: all that the page of a house says, in words of one unit system. Numbers that are
 * drawn come apart: the record (record.ts), the balance (balance.ts) and the series of an effect (effectSeries.ts).
 */
import { type Static, Type } from 'typebox'
import { Instant, LevelSchema, NullableNumber, NullableText, nullable, Texts } from './shapes.ts'

const LevelRun = Type.Object({
  level: LevelSchema,
  from: Type.String({ description: 'local date' }),
  to: Type.String({ description: 'last local date' }),
  days: Type.Number(),
})

/** SI; null where nothing was measured in the last hour heard. */
const LastValues = Type.Object({
  at: Instant,
  tempC: NullableNumber,
  rhPct: NullableNumber,
  dewPointC: NullableNumber,
  vaporPressurePa: NullableNumber,
  woodMcPct: NullableNumber,
})

const PageSpot = Type.Object({
  spot: Type.String({ description: 'space key / spot key' }),
  letter: Type.String({ description: 'one capital, the same in drawing, list and chart; I and O are left out' }),
  name: Type.String(),
  /** Only spots of the spaces that are judged have a level. */
  level: nullable(LevelSchema),
  since: NullableText,
  lastHeardAt: nullable(Instant),
  because: Type.String({ description: 'the line that set the level, with its number; empty when dry' }),
  guardsAgainst: Type.String(),
  possible: Texts,
  notJudged: Texts,
  last: nullable(LastValues),
  runs: Type.Array(LevelRun),
})

const PageSpace = Type.Object({
  space: Type.String(),
  name: Type.String(),
  role: Type.String(),
  kind: NullableText,
  spots: Type.Array(PageSpot),
})

const Hold = Type.Object({
  topic: Type.String(),
  kind: Type.Enum(['stop', 'record first']),
  sentence: Type.String(),
})

export const PageRemedySchema = Type.Object({
  remedy: Type.String(),
  title: Type.String(),
  need: Type.Enum(['needed', 'not needed', 'not yet', 'held']),
  /** The need behind a hold. */
  wouldBe: Type.Enum(['needed', 'not needed', 'not yet']),
  done: Type.Boolean(),
  sentence: Type.String(),
  evidenceFor: Texts,
  evidenceAgainst: Texts,
  wouldChangeIt: Type.String(),
  waitsFor: NullableText,
  holds: Type.Array(Hold),
})
export type PageRemedy = Static<typeof PageRemedySchema>

/** Findings under one heading; the first sentence is enough for a glance, the rest is on demand. */
export const PageFindingSchema = Type.Object({
  sentence: Type.String(),
  certainty: Type.Enum(['shown', 'likely', 'weak', 'cannot tell']),
  evidenceFor: Texts,
  evidenceAgainst: Texts,
  wouldChangeIt: Type.String(),
  missing: Texts,
})
export type PageFinding = Static<typeof PageFindingSchema>

const Storm = Type.Object({
  date: Type.String(),
  rainMm: Type.Number(),
  atLeast: Type.Boolean(),
  responses: Type.Array(
    Type.Object({
      spot: Type.String(),
      changePa: NullableNumber,
      lowPa: NullableNumber,
      highPa: NullableNumber,
      clear: Type.Boolean(),
      reason: NullableText,
    }),
  ),
})

const PageProbe = Type.Object({
  logger: Type.String(),
  loggerName: Type.String(),
  probe: Type.String(),
  probeId: Type.Integer(),
  /** Where it is now, or was last. */
  spot: Type.String(),
  letter: Type.String(),
  spotName: Type.String(),
  placedFrom: Type.String(),
  placedTo: NullableText,
  readings: Type.Integer(),
  firstAt: nullable(Instant),
  lastAt: nullable(Instant),
  batteryV: NullableNumber,
  /** One sentence a fault; empty when nothing was found. */
  faults: Texts,
})

export const HousePageSchema = Type.Object({
  house: Type.Object({
    key: Type.String(),
    name: Type.String(),
    place: Type.String(),
    invented: Type.Boolean(),
    timeZone: Type.String(),
  }),
  /** The instant it is told for: now, or the end of the record of an invented house. */
  asOf: Instant,
  recordFrom: nullable(Instant),
  recordTo: nullable(Instant),
  level: nullable(LevelSchema),
  /** Its words know what the balance says; ask again when one has been made since. */
  knowsBalance: Type.Boolean(),
  /** The one sentence at the head, and at most three that follow it. */
  verdict: Type.Object({ sentence: Type.String(), lead: Texts }),
  /** "Do I need to encapsulate this one?" */
  encapsulate: Type.Object({
    answer: Type.Enum(['no', 'not yet', 'yes', 'held', 'cannot tell']),
    sentence: Type.String(),
    reasons: Texts,
    /** What to do in its place, or first. */
    instead: Texts,
    holds: Type.Array(Hold),
  }),
  tally: Type.Array(Type.Object({ level: LevelSchema, letters: Texts })),
  spaces: Type.Array(PageSpace),
  works: Type.Array(
    Type.Object({
      key: Type.String(),
      kind: Type.String(),
      words: Type.String({ description: 'such as: the downspout drain' }),
      at: Instant,
      to: nullable(Instant),
      date: Type.String(),
      note: NullableText,
    }),
  ),
  events: Type.Array(
    Type.Object({ kind: Type.String(), at: Instant, to: nullable(Instant), date: Type.String(), note: NullableText }),
  ),
  remedies: Type.Array(PageRemedySchema),
  storms: Type.Object({ summary: Type.Array(PageFindingSchema), storms: Type.Array(Storm) }),
  risk: Type.Array(
    Type.Object({
      spot: Type.String(),
      letter: Type.String(),
      topic: Type.String({ description: 'wood moisture, mold index, 30-day surface' }),
      state: Type.Enum(['act', 'watch', 'clear', 'cannot tell']),
      finding: PageFindingSchema,
    }),
  ),
  baseline: nullable(
    Type.Object({
      stage: Type.String(),
      sentence: Type.String(),
      counts: Type.Array(
        Type.Object({ what: Type.String(), have: NullableNumber, need: NullableNumber, stage: NullableText }),
      ),
    }),
  ),
  /** Everything else that was found, under headings in the order a contractor wants to read them. */
  findings: Type.Array(Type.Object({ heading: Type.String(), findings: Type.Array(PageFindingSchema) })),
  probes: Type.Array(PageProbe),
  stations: Type.Array(
    Type.Object({
      key: Type.String(),
      name: Type.String(),
      quantities: Texts,
      lastAt: nullable(Instant),
      /** It reports by itself and was not heard for hours. */
      stale: Type.Boolean(),
    }),
  ),
  cautions: Texts,
})
export type HousePage = Static<typeof HousePageSchema>
