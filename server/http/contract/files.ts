/**
 * Bringing readings in over HTTP. `POST /api/houses/:id/files` (multipart, one or many) keeps each file aside and looks at
 * it; nothing is stored as readings before `POST …/files/:file/store`.
 */
import { type Static, Type } from 'typebox'
import type { Answers, Look } from '../../ingest/csv/understanding.ts'
import { ImportSchema } from './imports.ts'
import { Instant, NullableText, nullable } from './shapes.ts'

export type {
  Answers,
  Choice,
  Column,
  Look,
  PreviewRow,
  Question,
  Understanding,
  Warning,
} from '../../ingest/csv/understanding.ts'

/** The look is plain JSON made by the importer (ingest/csv/understanding.ts). */
const AnyLook = Type.Unsafe<Look>({ type: 'object', additionalProperties: true })
const AnyAnswers = Type.Unsafe<Answers>({ type: 'object', additionalProperties: true })

export const KeptFileSchema = Type.Object({
  file: Type.String({ description: 'its handle, for a day' }),
  name: Type.String(),
  bytes: Type.Integer(),
  /** The first lines as they stand, each cut to 200 characters. */
  head: Type.Array(Type.Object({ line: Type.Integer(), text: Type.String() })),
  look: AnyLook,
  /** What was answered so far, the firm's remembered answers among it. */
  answers: AnyAnswers,
  /** The import that stored these very bytes before, if any. */
  knownImportId: nullable(Type.Integer()),
})
export type KeptFile = Static<typeof KeptFileSchema>
export const KeptFilesSchema = Type.Object({ files: Type.Array(KeptFileSchema) })
export type KeptFilesAnswer = Static<typeof KeptFilesSchema>

export const LookBody = Type.Object({ answers: AnyAnswers }, { additionalProperties: false })

/** Where the readings of a probe found in the file belong. */
const Destination = Type.Union([
  Type.Object({ probeId: Type.Integer() }, { additionalProperties: false }),
  /** A new logger with one probe, placed at this spot from the file's first reading on. */
  Type.Object({ newAtSpot: Type.String({ description: 'space key / spot key' }) }, { additionalProperties: false }),
  /** A weather station that serves the house: a known one by its key, or a new one of this name. */
  Type.Object({ station: Type.String() }, { additionalProperties: false }),
  Type.Object({ newStation: Type.String({ minLength: 1, maxLength: 200 }) }, { additionalProperties: false }),
])
export type Destination = Static<typeof Destination>

export const StoreBody = Type.Object(
  { answers: AnyAnswers, probes: Type.Record(Type.String(), Destination) },
  { additionalProperties: false },
)
export type StoreRequest = Static<typeof StoreBody>
export const StoringSchema = Type.Object({ importId: Type.Integer(), jobId: Type.Integer() })

/** `GET /api/imports/:id/progress` */
export const ImportProgressSchema = Type.Object({
  import: ImportSchema,
  /** 0 to 1 of the file's bytes. */
  done: Type.Number(),
  message: Type.String(),
  state: Type.Enum(['waiting', 'running', 'done', 'failed', 'canceled']),
})
export type ImportProgress = Static<typeof ImportProgressSchema>

/** `GET /api/imports/:id/lines`: the first lines that were refused or differ; all of them are in receipt.csv. */
export const ImportLinesSchema = Type.Object({
  total: Type.Integer(),
  lines: Type.Array(
    Type.Object({
      line: Type.Integer(),
      outcome: Type.Enum(['refused', 'differs']),
      problem: Type.String(),
      fix: Type.String(),
      text: Type.String(),
    }),
  ),
})
export type ImportLines = Static<typeof ImportLinesSchema>

/** `GET /api/houses/:id/imports` */
export const ImportsSchema = Type.Object({
  imports: Type.Array(
    Type.Object({
      ...ImportSchema.properties,
      canUndo: Type.Boolean(),
      undoneAt: nullable(Instant),
      why: NullableText,
    }),
  ),
})
export type ImportsAnswer = Static<typeof ImportsSchema>

/** `POST /api/imports/:id/undo` */
export const UndoneSchema = Type.Object({
  removed: Type.Integer({ description: 'readings that only this import had brought' }),
})
