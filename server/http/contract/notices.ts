import { type Static, Type } from 'typebox'
import { nullable } from './shapes.ts'

const Place = Type.Object({
  spot: nullable(Type.String({ description: 'space key / spot key' })),
  spotName: nullable(Type.String()),
  spaceName: nullable(Type.String()),
})
const Urgency = Type.Enum(['note', 'soon', 'urgent'])

const Said = {
  place: Place,
  alsoAt: Type.Array(Type.String({ description: 'name of another spot where it is so too' })),
  about: nullable(Type.String({ description: 'the surface, station, logger or best explanation it is about' })),
  circumstances: Type.Array(Type.String()),
  numbers: Type.Record(Type.String(), Type.Number(), { description: 'SI, each with its unit in the name' }),
}

const Change = Type.Object({
  at: Type.Integer(),
  change: Type.String({ description: 'such as "opened", "updated", "more urgent", "acknowledged", "cleared"' }),
  who: Type.String(),
  urgency: nullable(Urgency),
  /** Why nobody was written to about it. */
  quiet: nullable(Type.String()),
})

export const NoticeSchema = Type.Object({
  id: Type.Integer(),
  watch: Type.String({ description: 'the watch that raised it, such as "liquid water"' }),
  urgency: Urgency,
  sinceAt: Type.Integer({ description: 'when the readings say that it began' }),
  openedAt: Type.Integer(),
  updatedAt: Type.Integer(),
  acknowledgedAt: nullable(Type.Integer()),
  acknowledgedBy: nullable(Type.String()),
  snoozedUntil: nullable(Type.Integer()),
  escalatedAt: nullable(Type.Integer()),
  clearedAt: nullable(Type.Integer()),
  overAt: nullable(Type.Integer({ description: 'when the readings say that it was over' })),
  concerns: Type.Array(Type.Enum(['owner', 'contractor'])),
  ...Said,
  changes: Type.Array(Change),
})
export type NoticeAnswer = Static<typeof NoticeSchema>

export const NoticesSchema = Type.Object({
  asOf: Type.Integer(),
  /** Open ones first. */
  notices: Type.Array(NoticeSchema),
})
export type NoticesAnswer = Static<typeof NoticesSchema>

export const NoticeParams = Type.Object({ id: Type.String({ pattern: '^[1-9][0-9]{0,14}$' }) })

export const SnoozeBody = Type.Object(
  { hours: Type.Number({ minimum: 1, maximum: 24 * 28, description: 'how long nothing is written about it' }) },
  { additionalProperties: false },
)
