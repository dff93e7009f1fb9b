/** `GET` and `PUT /api/firm`: what the firm is called, and where those who own a house reach it. */
import { type Static, Type } from 'typebox'
import { nullable } from './shapes.ts'

/** What stands before the "@" and after it is the post's to judge; this keeps out what is no address at all. */
const EMAIL = '^[^@\\s]+@[^@\\s]+$'
/** A number as people write it; a phone must be able to call it. */
const PHONE = '^[+(]?[0-9][0-9 ().+/x-]{2,39}$'

export const FirmSchema = Type.Object(
  {
    name: Type.String({ maxLength: 200 }),
    phone: nullable(Type.String({ maxLength: 40, pattern: PHONE })),
    email: nullable(Type.String({ maxLength: 320, pattern: EMAIL })),
  },
  { additionalProperties: false },
)
export type FirmAnswer = Static<typeof FirmSchema>
