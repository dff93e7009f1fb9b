/** `GET /api/houses/:id/record`: columns for drawing, thinned on the server so that peaks and gaps survive. SI units. */
import { type Static, Type } from 'typebox'
import { Instant, nullable } from './shapes.ts'
import { RECORD_QUANTITIES } from './words.ts'

const wholeNumber = (description: string) => Type.String({ pattern: '^[0-9]{1,15}$', description })

/** Numbers of a query arrive as text and stay so: a coerced one would turn an empty one into 0. */
export const RecordQuery = Type.Object(
  {
    show: Type.Optional(Type.Enum([...RECORD_QUANTITIES], { description: 'dewPointC when left out' })),
    from: Type.Optional(wholeNumber('UTC ms; the start of the record when left out')),
    to: Type.Optional(wholeNumber('UTC ms, end excluded; the end of the record when left out')),
    rows: Type.Optional(wholeNumber('at most so many buckets, 10 to 2000; 600 when left out')),
  },
  { additionalProperties: false },
)

// Left to JSON itself: a union judged value by value takes longer than everything else of the answer.
const Column = Type.Unsafe<(number | null)[]>({ description: 'one value a bucket, null where nothing was measured' })

export const RecordLineSchema = Type.Object({
  spot: Type.String({ description: 'space key / spot key' }),
  letter: Type.String(),
  name: Type.String(),
  role: Type.Enum(['inside', 'outdoor', 'living']),
  /** Whether it is measured or estimated: wood without pins, and every mold index, is estimated. */
  basis: Type.Enum(['measured', 'estimated']),
  min: Column,
  mean: Column,
  max: Column,
})
export type RecordLine = Static<typeof RecordLineSchema>

export const RecordSchema = Type.Object({
  show: Type.Enum([...RECORD_QUANTITIES]),
  from: Instant,
  to: Instant,
  recordFrom: nullable(Instant),
  recordTo: nullable(Instant),
  bucketMs: Type.Number(),
  /** Start of each bucket. */
  at: Type.Array(Instant),
  lines: Type.Array(RecordLineSchema),
  /** Rain of each bucket; a bucket of it is never shorter than that of the lines. null: rain is not known. */
  rain: nullable(Type.Object({ bucketMs: Type.Number(), at: Type.Array(Instant), mm: Column })),
  /** Hours left out of every analysis, with the reason: stuck, visit and the like. */
  leftOut: Type.Array(Type.Object({ spot: Type.String(), from: Instant, to: Instant, reason: Type.String() })),
  /** Lines of harm that belong to this quantity, such as 20 % wood moisture: decay. */
  thresholds: Type.Array(Type.Object({ value: Type.Number(), harm: Type.String(), name: Type.String() })),
})
export type RecordAnswer = Static<typeof RecordSchema>
