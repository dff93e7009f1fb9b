import { type Static, Type } from 'typebox'

/** Every answer that is not a success has this shape. */
export const ErrorSchema = Type.Object({
  /** Stable word to branch on; all of them are in http/errors.ts. */
  code: Type.String(),
  /** A sentence: what went wrong. */
  message: Type.String(),
  /** What to do about it. */
  hint: Type.String(),
  /** The part of the request it is about, such as `body/3/tempC`; null when it is about the whole. */
  where: Type.Union([Type.String(), Type.Null()]),
})
export type ErrorAnswer = Static<typeof ErrorSchema>

/** For the answers of a route, beside its good ones. */
export const ERRORS = { '4xx': ErrorSchema, '5xx': ErrorSchema }

/** A row's number in a path. Kept as text: a coerced number would turn `null` into 0. */
export const IdParams = Type.Object({ id: Type.String({ pattern: '^[1-9][0-9]{0,14}$' }) })
