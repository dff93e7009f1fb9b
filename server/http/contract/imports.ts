import { type Static, Type } from 'typebox'

const nullable = <T extends Type.TSchema>(schema: T) => Type.Union([schema, Type.Null()])

/** One file brought in and what became of its rows. */
export const ImportSchema = Type.Object({
  id: Type.Integer(),
  houseId: nullable(Type.Integer()),
  fileName: Type.String(),
  fileBytes: Type.Integer(),
  state: Type.String({ description: 'storing, stored, canceled or refused' }),
  stored: Type.Integer(),
  repeated: Type.Integer(),
  filled: Type.Integer(),
  differs: Type.Integer(),
  refused: Type.Integer({ description: 'whole lines and single values' }),
  startedAt: Type.Number(),
  finishedAt: nullable(Type.Number()),
  note: nullable(Type.String()),
})
export type ImportAnswer = Static<typeof ImportSchema>
