/** Small schemas that several resources share. */
import { Type } from 'typebox'
import { LEVELS, UNITS } from './words.ts'

export const nullable = <T extends Type.TSchema>(schema: T) => Type.Union([schema, Type.Null()])
export const LevelSchema = Type.Enum([...LEVELS])
export const Texts = Type.Array(Type.String())
export const NullableNumber = nullable(Type.Number())
export const NullableText = nullable(Type.String())
/** UTC, milliseconds since 1970. */
export const Instant = Type.Number({ description: 'UTC, milliseconds since 1970' })
export const UnitsQuery = Type.Object({ units: Type.Optional(Type.Enum([...UNITS])) }, { additionalProperties: false })
/** Middle and 90 % interval. */
export const EstimateSchema = Type.Object({ low: Type.Number(), mid: Type.Number(), high: Type.Number() })
