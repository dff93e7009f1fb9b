/** `GET` and `PUT /api/firm`: what the firm is called, where those who own a house reach it, and what it promises them. */
import { type Static, Type } from 'typebox'
import { nullable } from './shapes.ts'

/** What stands before the "@" and after it is the post's to judge; this keeps out what is no address at all. */
const EMAIL = '^[^@\\s]+@[^@\\s]+$'
/** A number as people write it; a phone must be able to call it. */
const PHONE = '^[+(]?[0-9][0-9 ().+/x-]{2,39}$'

const whomToCall = {
  name: Type.String({ maxLength: 200 }),
  phone: nullable(Type.String({ maxLength: 40, pattern: PHONE })),
  email: nullable(Type.String({ maxLength: 320, pattern: EMAIL })),
}
const AnswerHours = Type.Object(
  {
    urgent: Type.Number({ minimum: 1, maximum: 168 }),
    soon: Type.Number({ minimum: 1, maximum: 336 }),
  },
  {
    additionalProperties: false,
    description: 'within how many hours an owner hears from the firm: letters and owners’ pages promise it',
  },
)

export const FirmSchema = Type.Object({ ...whomToCall, answerHours: AnswerHours }, { additionalProperties: false })
export type FirmAnswer = Static<typeof FirmSchema>
/** Hours that are left out stay as they are. */
export const FirmBody = Type.Object(
  { ...whomToCall, answerHours: Type.Optional(AnswerHours) },
  { additionalProperties: false },
)
export type FirmGiven = Static<typeof FirmBody>
