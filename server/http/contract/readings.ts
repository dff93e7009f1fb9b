import { type Static, Type } from 'typebox'

/** One request carries at most this many readings; a year of a five-minute logger goes in eleven. */
export const MOST_READINGS = 10_000

const value = (unit: string) => Type.Optional(Type.Number({ description: unit }))

/** What one probe said at one instant. Ranges are checked by the intake, which answers reading by reading. */
export const ReadingSchema = Type.Object(
  {
    at: Type.Number({ description: 'UTC, milliseconds since 1970' }),
    tempC: value('air temperature, °C'),
    rhPct: value('relative humidity over water, 0 to 100 %'),
    woodMcPct: value('wood moisture, % of dry mass'),
    surfaceTempC: value('surface temperature, °C'),
    rainMm: value('rain since the previous reading, mm'),
    waterPresent: value('liquid water present, 0 or 1'),
    powerW: value('electric power, W'),
    condensateL: value('condensate since the previous reading, L'),
    batteryV: value('battery, V'),
  },
  { additionalProperties: false },
)
export type ReadingBody = Static<typeof ReadingSchema>

/** A single reading may be sent without the brackets. */
export const ReadingsBody = Type.Array(ReadingSchema, { minItems: 1, maxItems: MOST_READINGS })

const nullableNumber = Type.Union([Type.Number(), Type.Null()])
const nullableText = Type.Union([Type.String(), Type.Null()])

/** A reading counts once as stored, repeated or filled, unless one of its values differs; the lists name each value. */
export const ReceiptSchema = Type.Object({
  stored: Type.Integer(),
  repeated: Type.Integer({ description: 'same instant, same values: harmless' }),
  filled: Type.Integer({ description: 'same instant, a missing quantity was added' }),
  differs: Type.Array(
    Type.Object({
      row: Type.Integer({ description: 'index in what was sent' }),
      at: Type.Number(),
      quantity: Type.String(),
      kept: Type.Number({ description: 'the first value, which stays' }),
      offered: Type.Number(),
    }),
  ),
  refused: Type.Array(
    Type.Object({
      row: Type.Integer({ description: 'index in what was sent' }),
      quantity: nullableText,
      value: nullableNumber,
      reason: Type.String(),
      fix: Type.String(),
    }),
  ),
})
export type ReceiptAnswer = Static<typeof ReceiptSchema>
