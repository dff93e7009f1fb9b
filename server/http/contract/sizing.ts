/** `POST /api/sizing`: the calculations by themselves, for a house that has no readings yet. SI; each part is optional. */
import { type Static, Type } from 'typebox'
import { NullableNumber, nullable, Texts } from './shapes.ts'

const closed = { additionalProperties: false } as const
const SafetyAnswer = Type.Enum(['yes', 'no', 'not looked at'])

const DehumidifierAsked = Type.Object(
  {
    floorAreaM2: Type.Number({ exclusiveMinimum: 0, maximum: 10_000 }),
    heightM: Type.Number({ exclusiveMinimum: 0, maximum: 10 }),
    /** Outdoor air changes: as it is, and once sealed. */
    changesPerHour: Type.Number({ minimum: 0, maximum: 100 }),
    sealedChangesPerHour: Type.Number({ minimum: 0, maximum: 100 }),
    /** A humid day outdoors. */
    outdoorTempC: Type.Number({ minimum: -20, maximum: 45 }),
    outdoorRhPct: Type.Number({ exclusiveMinimum: 0, maximum: 100 }),
    heldTempC: Type.Number({ minimum: 5, maximum: 40 }),
    heldRhPct: Type.Number({ minimum: 30, maximum: 70 }),
    /** Share of the ground under a cover, and what bare ground gives off, L/day for each m². */
    coverShare: Type.Number({ minimum: 0, maximum: 1 }),
    bareGroundLPerM2Day: Type.Number({ minimum: 0, maximum: 2 }),
    litersPerKwh: Type.Number({ minimum: 0.2, maximum: 10 }),
    pricePerKwh: Type.Number({ minimum: 0, maximum: 10 }),
    safety: Type.Object(
      { floodZone: SafetyAnswer, combustionAppliances: SafetyAnswer, radonTest: SafetyAnswer },
      closed,
    ),
  },
  closed,
)

const DrainAsked = Type.Object(
  {
    surfaces: Type.Array(
      Type.Object(
        {
          areaM2: Type.Number({ minimum: 0, maximum: 100_000 }),
          coefficient: Type.Number({ minimum: 0, maximum: 1, description: 'share of the rain that runs off' }),
        },
        closed,
      ),
      { minItems: 1, maxItems: 10 },
    ),
    rainMmPerHour: Type.Number({ exclusiveMinimum: 0, maximum: 500 }),
    lengthM: Type.Number({ exclusiveMinimum: 0, maximum: 1000 }),
    fallM: Type.Number({ minimum: -20, maximum: 100 }),
    manningN: Type.Number({ minimum: 0.005, maximum: 0.1 }),
  },
  closed,
)

export const SizingBody = Type.Object(
  { dehumidifier: Type.Optional(DehumidifierAsked), drain: Type.Optional(DrainAsked) },
  closed,
)
export type SizingRequest = Static<typeof SizingBody>

const Hold = Type.Object({ topic: Type.String(), kind: Type.Enum(['stop', 'record first']), sentence: Type.String() })

export const SizingSchema = Type.Object({
  dehumidifier: nullable(
    Type.Object({
      byPath: Type.Object({ outdoorAir: Type.Number(), ground: Type.Number() }),
      loadLPerDay: Type.Number(),
      /** Rating to look for on each test basis, margin included; null where there is no load to take out. */
      ratedLPerDay: nullable(Type.Object({ '80 °F': Type.Number(), '73 °F': Type.Number(), '65 °F': Type.Number() })),
      codeFloorLPerDay: Type.Number(),
      codeGoverns: Type.Boolean(),
      runningHoursPerDay: Type.Number({ description: 'of a unit that is just large enough' }),
      kwhPerDay: Type.Number(),
      costPerMonth: Type.Number(),
      extrapolated: Type.Boolean(),
      sealingSavesLPerDay: Type.Number(),
      cautions: Texts,
      confirm: Type.String(),
      /** What holds sealing back, in the order of the rules; the numbers stand, the work does not. */
      holdsOnSealing: Type.Array(Hold),
    }),
  ),
  drain: nullable(
    Type.Object({
      flowM3s: Type.Number(),
      slope: Type.Number(),
      diameterIn: NullableNumber,
      capacityM3s: NullableNumber,
      velocityMs: NullableNumber,
      fallForSmallerM: NullableNumber,
      cautions: Texts,
      confirm: Type.String(),
    }),
  ),
})
export type SizingAnswer = Static<typeof SizingSchema>
