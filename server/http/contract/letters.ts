import { type Static, Type } from 'typebox'
import { IdParams } from './error.ts'
import { nullable } from './shapes.ts'

export const LETTER_STATES = ['waiting', 'sending', 'sent', 'given up', 'not wanted'] as const

const Row = {
  id: Type.Integer(),
  kind: Type.String({ description: 'what it is for, such as "urgent"' }),
  house: nullable(Type.String()),
  houseName: nullable(Type.String()),
  toName: Type.String(),
  toAddress: Type.String(),
  subject: Type.String(),
  state: Type.Enum([...LETTER_STATES]),
  createdAt: Type.Integer(),
  notBeforeAt: Type.Integer(),
  sentAt: nullable(Type.Integer()),
  attempts: Type.Integer(),
  problem: nullable(Type.String()),
  secret: Type.Boolean({ description: 'its words are shown to nobody' }),
}
export const LetterRowSchema = Type.Object(Row)
export type LetterRowAnswer = Static<typeof LetterRowSchema>

export const LettersQuery = Type.Object({
  before: Type.Optional(Type.String({ pattern: '^[1-9][0-9]{0,14}$' })),
  house: Type.Optional(Type.String({ maxLength: 200 })),
})

export const LettersSchema = Type.Object({
  asOf: Type.Integer(),
  /** Where letters go, in words; null where none go out. */
  goesTo: nullable(Type.String()),
  /** Why none go out now. */
  problem: nullable(Type.String()),
  letters: Type.Array(LetterRowSchema),
  /** Ask again with `before` = the last one's id. */
  more: Type.Boolean(),
})
export type LettersAnswer = Static<typeof LettersSchema>

export const LetterSchema = Type.Object({
  ...Row,
  text: Type.String(),
  html: Type.String({ description: 'with its picture inside; to be shown where no script runs' }),
  calendar: nullable(Type.String()),
  unsubscribeUrl: nullable(Type.String()),
})
export type LetterAnswer = Static<typeof LetterSchema>

export const LetterParams = IdParams
