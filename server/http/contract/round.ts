/** `GET /api/round?units=`: every house under care, those that need somebody first, and which of them one storm wetted. */
import { type Static, Type } from 'typebox'
import { URGENCIES } from '../../store/schema.ts'
import { Instant, LevelSchema, nullable } from './shapes.ts'
import { STANDINGS } from './words.ts'

export const RoundHouseSchema = Type.Object({
  key: Type.String(),
  name: Type.String(),
  place: Type.String(),
  invented: Type.Boolean(),
  timeZone: Type.String(),
  standing: Type.Enum([...STANDINGS], { description: 'waiting: its findings are being made' }),
  urgency: nullable(Type.Enum([...URGENCIES], { description: 'of the open notice that the line tells' })),
  level: nullable(LevelSchema),
  line: Type.String({ description: 'one sentence: why it stands where it stands' }),
  since: nullable(Type.String({ description: 'local date since when' })),
  spots: Type.Array(Type.Object({ level: LevelSchema, count: Type.Integer() })),
  lastHeardAt: nullable(Instant),
})
export type RoundHouse = Static<typeof RoundHouseSchema>

export const RoundStormSchema = Type.Object({
  from: Instant,
  to: Instant,
  rainMm: nullable(Type.Object({ least: Type.Number(), most: Type.Number() })),
  houses: Type.Array(Type.String(), { description: 'keys of houses above: liquid water first, then new ones' }),
  unseen: Type.Integer({ description: 'how many nobody has acknowledged' }),
})
export type RoundStorm = Static<typeof RoundStormSchema>

export const RoundSchema = Type.Object({
  asOf: Instant,
  houses: Type.Array(RoundHouseSchema),
  storms: Type.Array(RoundStormSchema),
})
export type RoundAnswer = Static<typeof RoundSchema>
