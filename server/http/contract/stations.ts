/** Weather stations: shared by houses, from files, a logger that reports by MQTT, or an address that is fetched. `/api/stations…` */
import { type Static, Type } from 'typebox'
import type { Answers } from '../../ingest/csv/understanding.ts'
import { KeptFileSchema } from './files.ts'
import { Instant, NullableNumber, NullableText, nullable, Texts } from './shapes.ts'

const Key = Type.String({ pattern: '^[a-z0-9][a-z0-9._-]{0,55}$' })
export const StationParams = Type.Object({ key: Key })
export const StationHouseParams = Type.Object({ key: Key, id: Type.String({ pattern: '^[a-z0-9][a-z0-9._-]{0,63}$' }) })

const Kind = Type.Enum(['file', 'mqtt', 'https'], {
  description: 'file: brought in by hand; mqtt: a logger that is this station; https: fetched from an address',
})
const Told = Type.Enum(['tempC', 'rhPct', 'rainMm'])
const AnyAnswers = Type.Unsafe<Answers>({ type: 'object', additionalProperties: true })
const Url = Type.String({
  minLength: 1,
  maxLength: 2000,
  description:
    'https (http on this machine alone); may hold {from}, {to} (days, both included), {dayAfter}, {fromS}, {toS} (seconds since 1970)',
})
const TimeZone = Type.String({ minLength: 1, maxLength: 64, description: 'zone of times that name none' })
const FileProbes = Type.Array(Type.String({ maxLength: 200 }), { maxItems: 20 })

const BackfillSchema = Type.Object({
  from: Type.String({ description: 'local day it began with' }),
  /** Everything before it was asked for. */
  nextAt: Instant,
  toAt: Instant,
  stored: Type.Integer(),
  state: Type.Enum(['running', 'done', 'stopped']),
  problem: NullableText,
})

export const StationSchema = Type.Object({
  key: Type.String(),
  name: Type.String(),
  kind: Kind,
  quantities: Texts,
  timeZone: Type.String(),
  /** Values after the question mark are hidden; sent back as it is, the stored address stays. */
  url: NullableText,
  /** The address asks for a span, so that the past can be fetched. */
  asksForSpan: Type.Boolean(),
  everyMin: NullableNumber,
  holdBackMin: Type.Number(),
  answers: AnyAnswers,
  fileProbes: Texts,
  /** logger key / probe key, where a logger is this station. */
  probe: NullableText,
  houses: Type.Array(Type.Object({ key: Type.String(), name: Type.String(), invented: Type.Boolean() })),
  last: nullable(
    Type.Object({
      at: Instant,
      tempC: NullableNumber,
      rhPct: NullableNumber,
      dewPointC: NullableNumber,
      /** Of the 24 hours before; null: rain not known. */
      rainMm: NullableNumber,
    }),
  ),
  stale: Type.Boolean(),
  fetch: Type.Object({
    triedAt: nullable(Instant),
    okAt: nullable(Instant),
    problem: NullableText,
    /** Nothing is stored before a person has looked at its table again. */
    needsAnswer: Type.Boolean(),
    failures: Type.Integer(),
    stored: Type.Integer({ description: 'readings that the last fetch brought' }),
    nextAt: nullable(Instant),
  }),
  backfill: nullable(BackfillSchema),
})
export type Station = Static<typeof StationSchema>

export const StationsSchema = Type.Object({
  asOf: Instant,
  staleAfterH: Type.Number(),
  stations: Type.Array(StationSchema),
})
export type StationsAnswer = Static<typeof StationsSchema>

const given = {
  name: Type.String({ minLength: 1, maxLength: 200 }),
  kind: Kind,
  quantities: Type.Optional(Type.Array(Told, { maxItems: 3 })),
  timeZone: Type.Optional(TimeZone),
  url: Type.Optional(nullable(Url)),
  /** null: only when somebody asks. */
  everyMin: Type.Optional(nullable(Type.Integer({ minimum: 10, maximum: 1440 }))),
  holdBackMin: Type.Optional(Type.Integer({ minimum: 0, maximum: 2880 })),
  answers: Type.Optional(AnyAnswers),
  fileProbes: Type.Optional(FileProbes),
  probe: Type.Optional(Type.String({ pattern: '^[^/]+/[^/]+$', description: 'logger key / probe key' })),
}
export const NewStationBody = Type.Object({ key: Key, ...given }, { additionalProperties: false })
export type NewStation = Static<typeof NewStationBody>
export const StationBody = Type.Object(given, { additionalProperties: false })
export type StationChange = Static<typeof StationBody>

/** `POST /api/stations/:key/fetch` */
export const StationFetchedSchema = Type.Object({
  state: Type.Enum(['stored', 'unchanged', 'needs an answer', 'empty', 'failed']),
  /** What it came to, for a person. */
  sentence: Type.String(),
  station: StationSchema,
})
export type StationFetched = Static<typeof StationFetchedSchema>

export const BackfillBody = Type.Object(
  { from: Type.String({ pattern: '^\\d{4}-\\d\\d-\\d\\d$', description: "first day, in the station's zone" }) },
  { additionalProperties: false },
)

/** `POST /api/stations/look`: the address is fetched once; with `file`, what was fetched is looked at again. */
export const LookAtStationBody = Type.Object(
  {
    url: Url,
    timeZone: TimeZone,
    answers: AnyAnswers,
    fileProbes: Type.Optional(FileProbes),
    /** The stored station whose hidden address this is. */
    key: Type.Optional(Key),
    file: Type.Optional(Type.String({ pattern: '^[0-9a-f-]{36}$' })),
  },
  { additionalProperties: false },
)
export type LookAtStation = Static<typeof LookAtStationBody>

export const StationLookSchema = Type.Object({
  ...KeptFileSchema.properties,
  /** To be stored with the station: the answers, and what was worked out, so that later tables leave nothing to guess. */
  settled: AnyAnswers,
  /** What a person must say before it can be fetched by itself. */
  open: Texts,
  /** The table's places that would be this station's. */
  probes: Texts,
  /** What it would tell; to be stored with the station, so that a column that goes missing is noticed. */
  quantities: Type.Array(Told),
})
export type StationLook = Static<typeof StationLookSchema>
