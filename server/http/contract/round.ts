/** `GET /api/round?units=`: every house under care, those that need somebody first. */
import { type Static, Type } from 'typebox'
import { Instant, LevelSchema, nullable } from './shapes.ts'
import { STANDINGS } from './words.ts'

export const RoundHouseSchema = Type.Object({
  key: Type.String(),
  name: Type.String(),
  place: Type.String(),
  invented: Type.Boolean(),
  timeZone: Type.String(),
  standing: Type.Enum([...STANDINGS], { description: 'waiting: its findings are being made' }),
  level: nullable(LevelSchema),
  line: Type.String({ description: 'one sentence: why it stands where it stands' }),
  since: nullable(Type.String({ description: 'local date since when' })),
  spots: Type.Array(Type.Object({ level: LevelSchema, count: Type.Integer() })),
  lastHeardAt: nullable(Instant),
})
export type RoundHouse = Static<typeof RoundHouseSchema>

export const RoundSchema = Type.Object({
  asOf: Instant,
  houses: Type.Array(RoundHouseSchema),
})
export type RoundAnswer = Static<typeof RoundSchema>
