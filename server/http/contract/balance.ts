import { type Static, Type } from 'typebox'
import { WORK_KINDS } from '../../moisture/input.ts'
import { FindingNumberSchema } from './findings.ts'

const nullable = <T extends Type.TSchema>(schema: T) => Type.Union([schema, Type.Null()])
const number = (description: string) => Type.Number({ description })

/** Middle and 90 % interval. */
const Estimate = Type.Object({ low: Type.Number(), mid: Type.Number(), high: Type.Number() })
const Works = Type.Array(Type.String(), { description: 'keys of works' })
const CannotTell = Type.Object({
  outcome: Type.Literal('cannot tell'),
  reason: Type.String(),
  missing: Type.Array(Type.String()),
})

const WorkKind = Type.Enum([...WORK_KINDS])
const RATING_BASES = ['80 °F', '73 °F', '65 °F'] as const

const Spot = Type.Object({
  spot: Type.String({ description: 'space key / spot key' }),
  name: Type.String(),
  used: Type.Boolean(),
  reason: Type.String(),
  daysMeasured: Type.Number(),
  vaporRatio: nullable(number('vapor pressure here over that of the middle of all spots')),
  tempOffsetK: nullable(Type.Number()),
  excessPa: nullable(Type.Number()),
  rhExcessPct: nullable(Type.Number()),
  worstDayRhPct: nullable(Type.Number()),
})

const Change = Type.Object({
  from: Type.Number(),
  to: Type.Number(),
  humidityRatioGKg: Estimate,
  vaporPressurePa: Estimate,
  rhPct: Estimate,
  tempK: Estimate,
  woodMcPct: Estimate,
  moldIndex: Estimate,
})

const Effect = Type.Object({
  works: Works,
  kinds: Type.Array(WorkKind),
  at: Type.Number(),
  verdict: Type.Enum(['drier', 'no clear change', 'wetter', 'cannot tell']),
  reason: Type.String(),
  needs: Type.Array(Type.String()),
  grade: Type.Enum(['A', 'B', 'C', 'D'], { description: 'A shown, B likely, C meets the target now, D not shown' }),
  lacks: Type.Array(Type.String()),
  soFar: nullable(Change),
  settled: nullable(Change),
  dryingEnds: Type.Number(),
  nothingProbability: number('how probable it is that the work changed nothing at all, 0 to 1'),
  bySpot: Type.Array(Type.Object({ spot: Type.String(), humidityRatioGKg: Type.Number() })),
})

const PATH_STANDINGS = ['told', 'mostly assumed', 'below what can be told', 'cannot tell from humidity alone'] as const
const Texts = Type.Array(Type.String(), {
  description: '{name} stands for a number of `numbers`; the most telling first',
})

const Path = Type.Object({
  path: Type.Enum(['outdoorAir', 'ground', 'rain', 'leak', 'house']),
  entersLPerDay: Estimate,
  sharePct: Estimate,
  leavesLPerDay: Estimate,
  dataShare: number('how much of it the data fixed, 0 to 1'),
  dashed: Type.Boolean({ description: 'the data fixed less than half: draw it dashed' }),
  standing: Type.Enum([...PATH_STANDINGS], { description: 'only a path that is told is ranked' }),
  rank: nullable(Type.Integer()),
  evidenceFor: Texts,
  evidenceAgainst: Texts,
  wouldChangeIt: Type.String(),
  nextTest: Type.String(),
  numbers: Type.Record(Type.String(), FindingNumberSchema),
})

const Sources = Type.Object({
  from: Type.Number(),
  to: Type.Number(),
  works: Works,
  basis: Type.Enum(['as it is', 'to hold the target'], { description: 'never compare one basis with the other' }),
  paths: Type.Array(Path),
  woodGivesLPerDay: Estimate,
  woodTakesLPerDay: Estimate,
  machineLPerDay: Estimate,
  condensesLPerDay: Estimate,
  caution: nullable(Type.String()),
})

const codeFloorLPerDay = nullable(number('capacity the model code asks of this floor area, never the load'))
const Need = Type.Union([
  Type.Object({ ...CannotTell.properties, codeFloorLPerDay }),
  Type.Object({
    outcome: Type.Literal('told'),
    lPerDay: Estimate,
    meanLPerDay: Estimate,
    air: Type.Object({ tempC: Type.Number(), rhPct: Type.Number() }),
    basis: Type.String(),
    scale: Type.String(),
    ratedLPerDay: nullable(
      Type.Object(
        Object.fromEntries(RATING_BASES.map((basis) => [basis, Estimate])) as Record<
          (typeof RATING_BASES)[number],
          typeof Estimate
        >,
      ),
    ),
    ratingExtrapolated: Type.Boolean(),
    icing: Type.Boolean({ description: 'the air is so cool that coils ice and capacity falls' }),
    codeFloorLPerDay,
  }),
])

const Told = Type.Object({
  outcome: Type.Literal('told'),
  space: Type.String(),
  from: Type.Number(),
  to: Type.Number(),
  targetRhPct: Type.Number(),
  spots: Type.Array(Spot),
  wettestSpot: nullable(Type.String()),
  effects: Type.Array(Effect),
  sources: Type.Array(Sources),
  need: Need,
  departures: Type.Array(
    Type.Object({
      kind: Type.String(),
      at: Type.Number(),
      support: number('logarithm of how much better it explains the data; 6 and more is strong'),
      size: Type.String(),
      reason: Type.String(),
    }),
  ),
  unseen: Type.Array(Type.String({ description: 'what could not have been seen, and what would show it' })),
  parameters: Type.Array(
    Type.Object({
      key: Type.String(),
      label: Type.String(),
      unit: Type.String(),
      value: Estimate,
      priorMedian: Type.Number(),
      dataShare: Type.Number(),
      basis: Type.Enum(['reference', 'judgement']),
      reason: Type.String(),
    }),
  ),
  assumptions: Type.Array(Type.String()),
})

export const BalanceSchema = Type.Union([CannotTell, Told])
export type BalanceContract = Static<typeof BalanceSchema>

export const HouseParams = Type.Object({ id: Type.String({ minLength: 1, maxLength: 100 }) })

const BalanceJob = Type.Object({
  id: Type.Integer(),
  state: Type.String({ description: 'waiting, running, done, failed or canceled' }),
  done: number('0 to 1'),
  message: Type.String({ description: 'what it is doing, or why it ended' }),
})
/** Ask again with GET in a few seconds. */
export const BeingMadeSchema = Type.Object({ state: Type.Literal('being made'), job: BalanceJob })
export const BalanceStateSchema = Type.Union([
  Type.Object({ state: Type.Literal('ready'), computedAt: Type.Number(), balance: BalanceSchema }),
  /** The latest try for this very record failed or was canceled; POST begins it again. */
  Type.Object({ state: Type.Literal('stopped'), job: BalanceJob }),
])
export type BalanceStateAnswer = Static<typeof BalanceStateSchema>
export type BeingMadeAnswer = Static<typeof BeingMadeSchema>

export const CanceledSchema = Type.Object({ canceled: Type.Boolean({ description: 'false: none was being made' }) })

const positive = Type.Number({ exclusiveMinimum: 0, maximum: 100_000 })
const Details = Type.Object(
  {
    setRhPct: Type.Optional(Type.Number({ minimum: 20, maximum: 90 })),
    ratedLPerDay: Type.Optional(positive),
    ratingBasis: Type.Optional(Type.Enum([...RATING_BASES])),
    coverShareAfter: Type.Optional(Type.Number({ minimum: 0, maximum: 1 })),
    fanM3PerHour: Type.Optional(positive),
    litersPerKwh: Type.Optional(
      Type.Number({ minimum: 0.2, maximum: 10, description: "a dehumidifier's efficiency on its label" }),
    ),
  },
  { additionalProperties: false },
)

const surfaceTempC = Type.Number({ minimum: -40, maximum: 60 })
const SurfaceName = Type.String({ minLength: 1, maxLength: 100 })
const ColdSurface = Type.Union(
  [
    Type.Object({ name: SurfaceName, tempC: surfaceTempC }, { additionalProperties: false }),
    Type.Object(
      {
        name: SurfaceName,
        insideTempC: surfaceTempC,
        insulationM2KPerW: Type.Optional(Type.Number({ minimum: 0, maximum: 20 })),
      },
      { additionalProperties: false },
    ),
  ],
  { description: 'condensation is counted on it: how cold it is, or what is inside it and its insulation' },
)

export const WhatIfBody = Type.Object(
  {
    remedies: Type.Array(
      Type.Object(
        {
          kind: WorkKind,
          parts: Type.Optional(Type.Array(WorkKind, { maxItems: 11 })),
          details: Type.Optional(Details),
        },
        { additionalProperties: false },
      ),
      { minItems: 1, maxItems: 8 },
    ),
    coldSurface: Type.Optional(ColdSurface),
    pricePerKwh: Type.Optional(Type.Number({ minimum: 0, maximum: 10, description: 'dollars' })),
    part: Type.Optional(
      Type.Enum(['middle', 'interval'], {
        description: 'middle: at once and without intervals, for a slider that moves',
      }),
    ),
    asker: Type.Optional(
      Type.String({
        minLength: 1,
        maxLength: 64,
        description: 'who asks, such as one open page: a newer question drops an older one that has not begun',
      }),
    ),
  },
  { additionalProperties: false },
)
export type WhatIfRequest = Static<typeof WhatIfBody>

const Compared = Type.Object(
  { asIs: Estimate, after: Estimate, change: Estimate },
  { description: 'now, with the remedies, and the difference' },
)
const Held = nullable(Type.Object({ reason: Type.String() }))
const ComparedMiddle = Type.Object({ asIs: Type.Number(), after: Type.Number(), change: Type.Number() })
const Period = Type.Object({ days: Type.Number(), basis: Type.Enum(['a year', 'the record']) })
const bothSides = <T extends Type.TSchema>(of: T) =>
  Type.Object({ asIs: nullable(of), after: nullable(of) }, { description: 'over the period' })
const machineAmountsOf = <T extends Type.TSchema>(amount: T) =>
  Type.Object({ runningHours: amount, liters: amount, kwh: amount })
const condensationOf = <T extends Type.TSchema>(hours: T) =>
  Type.Union([CannotTell, Type.Object({ outcome: Type.Literal('told'), surface: Type.String(), hours })])

export const WhatIfSchema = Type.Union([
  CannotTell,
  /** Only when the middle was asked for. */
  Type.Object({
    outcome: Type.Literal('middle'),
    held: Held,
    period: Period,
    vaporPressurePa: ComparedMiddle,
    rhPct: ComparedMiddle,
    tempC: ComparedMiddle,
    hoursOver80Share: ComparedMiddle,
    woodMcPct: ComparedMiddle,
    moldIndexEnd: ComparedMiddle,
    condensation: condensationOf(ComparedMiddle),
    machine: bothSides(machineAmountsOf(Type.Number())),
    costs: bothSides(Type.Number()),
  }),
  Type.Object({
    outcome: Type.Literal('told'),
    remedies: Type.Array(
      Type.Object({
        kind: WorkKind,
        parts: Type.Optional(Type.Array(WorkKind)),
        details: Type.Optional(Type.Object({ ...Details.properties })),
        held: Held,
      }),
    ),
    held: Held,
    weather: Type.Enum(['the record', 'a typical year']),
    yearName: nullable(Type.String()),
    targetRhPct: Type.Number(),
    period: Period,
    humidityRatioGKg: Compared,
    vaporPressurePa: Compared,
    rhPct: Compared,
    tempC: Compared,
    hoursOver80Share: Compared,
    woodMcPct: Compared,
    moldIndex: Type.Object({ end: Compared, max: Compared }),
    condensation: condensationOf(Compared),
    machine: bothSides(machineAmountsOf(Estimate)),
    costs: bothSides(Estimate),
    kept: Type.Array(WorkKind, { description: 'done already: what they did in this house is kept' }),
    need: Type.Object({
      asIs: Need,
      after: Need,
      savesLPerDay: nullable(
        Type.Object({ ...Estimate.properties }, { description: 'what the remedies take off a hard day' }),
      ),
    }),
    assumptions: Type.Array(Type.String()),
  }),
])
export type WhatIfContract = Static<typeof WhatIfSchema>
