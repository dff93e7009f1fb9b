/**
 * A whole house but its readings, as one plain tree: what `house.json` of a house folder holds and what the store writes
 * and reads in one unit of work. SI units; dates are the house's wall clock ("2024-06-10" or "2024-06-10T09:30").
 */
import Type from 'typebox'
import { EVENT_KINDS, SAFETY_ANSWERS, SPACE_KINDS, SPACE_ROLES, WORK_KINDS } from './schema.ts'

export const HOUSE_FORMAT = 'underjoist house 1'

const closed = { additionalProperties: false } as const
const key = Type.String({
  pattern: '^[a-z0-9][a-z0-9._-]{0,63}$',
  description: 'small letters, digits, dots, hyphens and underscores; unique among its kind',
})
const localDate = Type.String({
  pattern: '^\\d{4}-\\d\\d-\\d\\d(T\\d\\d:\\d\\d(:\\d\\d)?)?$',
  description: 'local date or time of the house: 2024-06-10 or 2024-06-10T09:30',
})
const positive = Type.Number({ exclusiveMinimum: 0 })
const percent = Type.Number({ minimum: 0, maximum: 100 })
const safety = Type.Enum([...SAFETY_ANSWERS])
const note = Type.Optional(Type.String({ maxLength: 4000 }))
const until = Type.Optional(localDate)

export const RATING_BASES = ['26.7 °C / 60 %', '18.3 °C / 60 %', '22.8 °C / 60 %'] as const

const Machine = Type.Object(
  {
    ratedLPerDay: Type.Optional(positive),
    ratingBasis: Type.Optional(Type.Enum([...RATING_BASES])),
    setPointRhPct: Type.Optional(percent),
  },
  closed,
)

const Facts = Type.Object(
  {
    roofAreaM2: Type.Optional(positive),
    /** As it was when the record began. */
    downspouts: Type.Optional(Type.Enum(['end at the wall', 'some led away', 'led away'])),
    gradeAtWall: Type.Optional(Type.Enum(['falls away', 'level', 'falls toward'])),
    foundationWall: Type.Optional(Type.String({ maxLength: 200 })),
    floorInsulated: Type.Optional(Type.Boolean()),
    targetRhPct: Type.Optional(percent),
    yearBuilt: Type.Optional(Type.Integer({ minimum: 1500, maximum: 2200 })),
    dehumidifierAtStart: Type.Optional(Machine),
    note,
  },
  closed,
)

const Spot = Type.Object(
  {
    key,
    name: Type.String({ minLength: 1, maxLength: 200 }),
    heightM: Type.Optional(Type.Number()),
    /** Plan position from a corner of the space that the firm chooses, in meters. */
    x: Type.Optional(Type.Number()),
    y: Type.Optional(Type.Number()),
    /** A cold surface to watch in this spot's air: its temperature, or what lies inside it and its insulation. */
    coldSurface: Type.Optional(
      Type.Object(
        {
          name: Type.String({ minLength: 1, maxLength: 200 }),
          tempC: Type.Optional(Type.Number({ minimum: -40, maximum: 60 })),
          insideTempC: Type.Optional(Type.Number({ minimum: -40, maximum: 60 })),
          insulationM2KPerW: Type.Optional(Type.Number({ minimum: 0 })),
        },
        closed,
      ),
    ),
  },
  closed,
)

const Space = Type.Object(
  {
    key,
    name: Type.String({ minLength: 1, maxLength: 200 }),
    role: Type.Enum([...SPACE_ROLES]),
    /** Kind, vents and ground cover are entered as they were when the record began; works change them from their date. */
    kind: Type.Optional(Type.Enum([...SPACE_KINDS])),
    floorAreaM2: Type.Optional(positive),
    heightM: Type.Optional(positive),
    perimeterM: Type.Optional(positive),
    ventCount: Type.Optional(Type.Integer({ minimum: 0 })),
    ventState: Type.Optional(Type.Enum(['open', 'partly', 'closed'])),
    groundCoverSharePct: Type.Optional(percent),
    spots: Type.Array(Spot),
  },
  closed,
)

const file = Type.Optional(
  Type.String({ pattern: '^readings/[^/\\\\]+$', description: 'a file in the readings folder of the house folder' }),
)
const answers = Type.Optional(
  Type.Record(Type.String(), Type.Unknown(), {
    description: 'answers to what the importer would ask about this file, such as {"dateOrder": "dmy"}',
  }),
)

const Probe = Type.Object(
  {
    key,
    accuracyTempC: Type.Optional(positive),
    accuracyRhPct: Type.Optional(positive),
    placements: Type.Array(
      Type.Object(
        {
          spot: Type.String({ pattern: '^[^/]+/[^/]+$', description: 'space key / spot key' }),
          from: localDate,
          to: until,
        },
        closed,
      ),
    ),
    file,
    /** Which of the file's probes, where a file holds several. */
    fileProbe: Type.Optional(Type.String()),
    answers,
  },
  closed,
)

const Logger = Type.Object(
  { key, name: Type.Optional(Type.String({ maxLength: 200 })), probes: Type.Array(Probe) },
  closed,
)

const Station = Type.Object(
  {
    key,
    name: Type.String({ minLength: 1, maxLength: 200 }),
    kind: Type.Enum(['file', 'mqtt', 'https']),
    quantities: Type.Array(Type.String()),
    file,
    answers,
  },
  closed,
)

const Correction = Type.Object(
  {
    probe: Type.String({ pattern: '^[^/]+/[^/]+$', description: 'logger key / probe key' }),
    quantity: Type.Enum(['tempC', 'rhPct', 'woodMcPct', 'surfaceTempC', 'clock']),
    offset: Type.Number(),
    from: localDate,
    to: until,
    why: Type.String({ minLength: 1, maxLength: 400 }),
  },
  closed,
)

const Work = Type.Object(
  {
    key,
    kind: Type.Enum([...WORK_KINDS]),
    from: localDate,
    to: until,
    note,
    details: Type.Optional(
      Type.Object(
        {
          ...Machine.properties,
          coverSharePct: Type.Optional(percent),
          /** Several remedies done together are one work with parts. */
          parts: Type.Optional(Type.Array(Type.Enum([...WORK_KINDS]))),
          /** What was put in, in the firm's own words. */
          materials: Type.Optional(Type.Array(Type.String({ minLength: 1, maxLength: 200 }))),
        },
        closed,
      ),
    ),
  },
  closed,
)

const Event = Type.Object({ kind: Type.Enum([...EVENT_KINDS]), from: localDate, to: until, note }, closed)

const Survey = Type.Object(
  {
    at: localDate,
    by: Type.Optional(Type.String({ maxLength: 200 })),
    note,
    readings: Type.Array(
      Type.Object(
        {
          spot: Type.Optional(Type.String({ pattern: '^[^/]+/[^/]+$' })),
          place: Type.Optional(Type.String({ maxLength: 400 })),
          quantity: Type.Enum(['woodMcPct', 'tempC', 'rhPct', 'surfaceTempC', 'waterDepthMm']),
          value: Type.Number(),
          species: Type.Optional(Type.String({ maxLength: 100 })),
          woodTempC: Type.Optional(Type.Number()),
        },
        closed,
      ),
    ),
  },
  closed,
)

const Photo = Type.Object(
  {
    hash: Type.String({ pattern: '^[0-9a-f]{64}$' }),
    mediaType: Type.Enum(['image/jpeg', 'image/png', 'image/webp']),
    takenAt: Type.Optional(localDate),
    caption: Type.Optional(Type.String({ maxLength: 400 })),
  },
  closed,
)

/** JSON Schema of house.json. Keys keep this order when a house is written. */
export const HouseTreeSchema = Type.Object(
  {
    format: Type.Literal(HOUSE_FORMAT),
    key,
    name: Type.String({ minLength: 1, maxLength: 200 }),
    invented: Type.Optional(Type.Boolean({ description: 'true marks a made-up house wherever it is shown' })),
    place: Type.Optional(Type.String({ maxLength: 200 })),
    timeZone: Type.String({ description: 'IANA name, such as America/New_York' }),
    latitude: Type.Optional(Type.Number({ minimum: -90, maximum: 90 })),
    longitude: Type.Optional(Type.Number({ minimum: -180, maximum: 180 })),
    elevationM: Type.Optional(Type.Number({ minimum: -430, maximum: 6000 })),
    safety: Type.Optional(
      Type.Object(
        {
          floodZone: Type.Optional(safety),
          combustionAppliances: Type.Optional(safety),
          radonTest: Type.Optional(safety),
          radonPciL: Type.Optional(Type.Number({ minimum: 0, maximum: 10_000 })),
          /** Utility marks for the dig are valid, and private lines were asked for. */
          utilityLocates: Type.Optional(safety),
          structuralSigns: Type.Optional(safety),
          entryHazard: Type.Optional(safety),
          note,
        },
        closed,
      ),
    ),
    facts: Type.Optional(Facts),
    spaces: Type.Array(Space),
    loggers: Type.Optional(Type.Array(Logger)),
    stations: Type.Optional(Type.Array(Station)),
    corrections: Type.Optional(Type.Array(Correction)),
    works: Type.Optional(Type.Array(Work)),
    events: Type.Optional(Type.Array(Event)),
    surveys: Type.Optional(Type.Array(Survey)),
    photos: Type.Optional(Type.Array(Photo)),
  },
  { ...closed, title: 'Underjoist house' },
)

export type HouseTree = Type.Static<typeof HouseTreeSchema>
export type SpaceTree = HouseTree['spaces'][number]
export type LoggerTree = NonNullable<HouseTree['loggers']>[number]
export type ProbeTree = LoggerTree['probes'][number]
export type WorkTree = NonNullable<HouseTree['works']>[number]
export type HouseFacts = NonNullable<HouseTree['facts']>
