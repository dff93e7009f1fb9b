/**
 * The whole vocabulary of the service as tables. Instants are UTC epoch ms; local dates a person typed are kept beside
 * them as text, so that a house folder comes back as it was written. Keys of large tables begin with what they could be
 * distributed by (`probe_id`, `house_id`).
 */
import { sql } from 'drizzle-orm'
import { blob, index, integer, primaryKey, real, sqliteTable, text, uniqueIndex } from 'drizzle-orm/sqlite-core'
import { WORK_KINDS, type WorkKind } from '../moisture/input.ts'

/** A safety question nobody has looked at blocks a remedy like a "yes" does. */
export const SAFETY_ANSWERS = ['yes', 'no', 'not looked at'] as const
export type SafetyAnswer = (typeof SAFETY_ANSWERS)[number]
const safety = (name: string) => text(name, { enum: SAFETY_ANSWERS }).notNull().default('not looked at')
const json = (name: string) => text(name, { mode: 'json' })

/** The contractor's firm that runs this database: one row. */
export const firm = sqliteTable('firm', {
  id: integer('id').primaryKey(),
  name: text('name').notNull().default(''),
  settings: json('settings').notNull().default(sql`'{}'`),
  /** Where its customers reach it; pages and letters name them. */
  phone: text('phone'),
  email: text('email'),
})

export const ROLES = ['contractor', 'technician', 'owner'] as const
export type Role = (typeof ROLES)[number]

/** Who may come in. Without a password a person signs in by an invitation first, or, an owner, by a link alone. */
export const people = sqliteTable('people', {
  id: integer('id').primaryKey(),
  /** In lower case: one person of an address. */
  email: text('email').notNull().unique(),
  name: text('name').notNull(),
  role: text('role', { enum: ROLES }).notNull(),
  units: text('units', { enum: ['us', 'si'] })
    .notNull()
    .default('us'),
  createdAt: integer('created_at').notNull(),
  /** Argon2id, as its own encoded text with salt and cost. */
  passwordHash: text('password_hash'),
  passwordAt: integer('password_at'),
  /** Kept for the history's sake, but no longer let in. */
  closedAt: integer('closed_at'),
})

/** Which houses a technician works at and which one an owner owns. */
export const personHouses = sqliteTable(
  'person_houses',
  {
    personId: integer('person_id')
      .notNull()
      .references(() => people.id, { onDelete: 'cascade' }),
    houseId: integer('house_id')
      .notNull()
      .references(() => houses.id, { onDelete: 'cascade' }),
    since: integer('since').notNull(),
  },
  (t) => [primaryKey({ columns: [t.personId, t.houseId] }), index('person_houses_by_house').on(t.houseId)],
)

/** A browser that is signed in. Its secret is a cookie; only the hash is here. */
export const sessions = sqliteTable(
  'sessions',
  {
    id: integer('id').primaryKey(),
    personId: integer('person_id')
      .notNull()
      .references(() => people.id, { onDelete: 'cascade' }),
    secretHash: text('secret_hash').notNull().unique(),
    /** Signed in by this link; the session ends with it and reaches its house alone. */
    linkId: integer('link_id').references(() => ownerLinks.id, { onDelete: 'cascade' }),
    createdAt: integer('created_at').notNull(),
    seenAt: integer('seen_at').notNull(),
    endsAt: integer('ends_at').notNull(),
    /** What the browser calls itself, so that its owner knows it again. */
    agent: text('agent').notNull().default(''),
    address: text('address').notNull().default(''),
  },
  (t) => [index('sessions_by_person').on(t.personId)],
)

/** A secret sent by mail or handed over, good once and for a while: an invitation or a forgotten password. */
export const personCodes = sqliteTable(
  'person_codes',
  {
    id: integer('id').primaryKey(),
    personId: integer('person_id')
      .notNull()
      .references(() => people.id, { onDelete: 'cascade' }),
    kind: text('kind', { enum: ['invitation', 'forgotten password'] }).notNull(),
    secretHash: text('secret_hash').notNull().unique(),
    createdAt: integer('created_at').notNull(),
    endsAt: integer('ends_at').notNull(),
    usedAt: integer('used_at'),
  },
  (t) => [index('person_codes_by_person').on(t.personId)],
)

export const TOKEN_SCOPES = ['read', 'readings', 'write'] as const
export type TokenScope = (typeof TOKEN_SCOPES)[number]

/** For programs: what its person may do, narrowed by the scope. */
export const apiTokens = sqliteTable(
  'api_tokens',
  {
    id: integer('id').primaryKey(),
    personId: integer('person_id')
      .notNull()
      .references(() => people.id, { onDelete: 'cascade' }),
    name: text('name').notNull(),
    scope: text('scope', { enum: TOKEN_SCOPES }).notNull(),
    secretHash: text('secret_hash').notNull().unique(),
    createdAt: integer('created_at').notNull(),
    endsAt: integer('ends_at').notNull(),
    usedAt: integer('used_at'),
    revokedAt: integer('revoked_at'),
  },
  (t) => [index('api_tokens_by_person').on(t.personId)],
)

/** A link by which an owner looks at one house without a password. What it carries is signed, not stored. */
export const ownerLinks = sqliteTable(
  'owner_links',
  {
    id: integer('id').primaryKey(),
    personId: integer('person_id')
      .notNull()
      .references(() => people.id, { onDelete: 'cascade' }),
    houseId: integer('house_id')
      .notNull()
      .references(() => houses.id, { onDelete: 'cascade' }),
    createdAt: integer('created_at').notNull(),
    endsAt: integer('ends_at').notNull(),
    usedAt: integer('used_at'),
    revokedAt: integer('revoked_at'),
  },
  (t) => [index('owner_links_by_house').on(t.houseId)],
)

export const houses = sqliteTable('houses', {
  id: integer('id').primaryKey(),
  key: text('key').notNull().unique(),
  name: text('name').notNull(),
  /** Demo houses say so wherever they are shown. */
  invented: integer('invented', { mode: 'boolean' }).notNull().default(false),
  place: text('place').notNull().default(''),
  timeZone: text('time_zone').notNull(),
  latitude: real('latitude'),
  longitude: real('longitude'),
  elevationM: real('elevation_m'),
  floodZone: safety('flood_zone'),
  combustionAppliances: safety('combustion_appliances'),
  radonTest: safety('radon_test'),
  radonPciL: real('radon_pci_l'),
  utilityLocates: safety('utility_locates'),
  structuralSigns: safety('structural_signs'),
  entryHazard: safety('entry_hazard'),
  safetyNote: text('safety_note'),
  /** Roof, downspouts, grade and the like: the `facts` object of a house folder. */
  facts: json('facts').notNull().default(sql`'{}'`),
  /** Thresholds this house sets for itself, by name. */
  settings: json('settings').notNull().default(sql`'{}'`),
  createdAt: integer('created_at').notNull(),
})

export const SPACE_ROLES = ['crawl space', 'basement', 'attic', 'wall', 'outdoor', 'living'] as const
export const SPACE_KINDS = ['vented', 'closed', 'conditioned'] as const

/** A volume with its own air. */
export const spaces = sqliteTable(
  'spaces',
  {
    id: integer('id').primaryKey(),
    houseId: integer('house_id')
      .notNull()
      .references(() => houses.id, { onDelete: 'cascade' }),
    key: text('key').notNull(),
    name: text('name').notNull(),
    role: text('role', { enum: SPACE_ROLES }).notNull(),
    kind: text('kind', { enum: SPACE_KINDS }),
    floorAreaM2: real('floor_area_m2'),
    heightM: real('height_m'),
    perimeterM: real('perimeter_m'),
    ventCount: integer('vent_count'),
    ventState: text('vent_state', { enum: ['open', 'partly', 'closed'] }),
    groundCoverSharePct: real('ground_cover_share_pct'),
    ordinal: integer('ordinal').notNull().default(0),
  },
  (t) => [uniqueIndex('spaces_by_house_key').on(t.houseId, t.key)],
)

/** A named place in a space where something is measured; `x` and `y` in meters from a corner of the space. */
export const spots = sqliteTable(
  'spots',
  {
    id: integer('id').primaryKey(),
    spaceId: integer('space_id')
      .notNull()
      .references(() => spaces.id, { onDelete: 'cascade' }),
    key: text('key').notNull(),
    name: text('name').notNull(),
    heightM: real('height_m'),
    x: real('x'),
    y: real('y'),
    /** A cold surface to watch at this spot (duct, pipe): the `coldSurface` object of a house folder. */
    coldSurface: json('cold_surface'),
    ordinal: integer('ordinal').notNull().default(0),
  },
  (t) => [uniqueIndex('spots_by_space_key').on(t.spaceId, t.key)],
)

/** The box: it carries one or more probes and moves from job to job. */
export const loggers = sqliteTable('loggers', {
  id: integer('id').primaryKey(),
  key: text('key').notNull().unique(),
  name: text('name'),
  /** The house it was enrolled at or placed in last, so that it is not lost while it hangs nowhere. */
  houseId: integer('house_id').references(() => houses.id, { onDelete: 'set null' }),
  /** Hash of the credentials it publishes with; nothing readable is stored. */
  secretHash: text('secret_hash'),
  enrolledAt: integer('enrolled_at'),
  retiredAt: integer('retired_at'),
  /** Short code on its label, for people who stand under a house with a phone. */
  code: text('code').unique(),
  /** It reports by itself, and is missed when it does not; others are read out at pick-up. */
  hasRadio: integer('has_radio', { mode: 'boolean' }).notNull().default(false),
  /** How often it means to report. */
  intervalS: integer('interval_s'),
})

/** What a logger that reports by itself was last heard saying; one row, rewritten with each message. */
export const loggerStates = sqliteTable('logger_states', {
  loggerId: integer('logger_id')
    .primaryKey()
    .references(() => loggers.id, { onDelete: 'cascade' }),
  firstHeardAt: integer('first_heard_at').notNull(),
  heardAt: integer('heard_at').notNull(),
  /** Whether it is connected to the broker, as the broker or its last will said; null while nothing said so. */
  connected: integer('connected', { mode: 'boolean' }),
  connectedAt: integer('connected_at'),
  batteryV: real('battery_v'),
  signalDbm: real('signal_dbm'),
  firmware: text('firmware'),
  /** Its clock minus the service's when it last told its time, seconds; the way of the message is in it. */
  clockOffS: real('clock_off_s'),
  messages: integer('messages').notNull().default(0),
  readings: integer('readings').notNull().default(0),
  refused: integer('refused').notNull().default(0),
})

/** How far the numbered messages of a logger have arrived. A logger that begins again at 1 names a new run. */
export const sequences = sqliteTable(
  'sequences',
  {
    loggerId: integer('logger_id')
      .notNull()
      .references(() => loggers.id, { onDelete: 'cascade' }),
    run: text('run').notNull(),
    /** All up to this one are stored, or were refused for good, or are kept by the logger no longer. */
    through: integer('through').notNull(),
    /** Spans stored beyond that, [[from, to], …], ends included. */
    beyond: json('beyond').notNull(),
    /** Messages the logger no longer kept when it was asked for them. */
    missed: integer('missed').notNull().default(0),
    heardAt: integer('heard_at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.loggerId, t.run] })],
)

export const MESSAGE_REFUSALS = [
  'malformed',
  'oversized',
  'wrong topic',
  'unknown logger',
  'unknown probe',
  'wrong unit',
  'out of range',
  'future',
  'ancient',
  'without a time',
  'differs',
] as const

/** Messages that were not stored, counted by reason; the last of each is kept to be looked at. */
export const refusedMessages = sqliteTable(
  'refused_messages',
  {
    id: integer('id').primaryKey(),
    /** Empty for whoever is not known here. */
    loggerKey: text('logger_key').notNull(),
    reason: text('reason', { enum: MESSAGE_REFUSALS }).notNull(),
    count: integer('count').notNull(),
    firstAt: integer('first_at').notNull(),
    lastAt: integer('last_at').notNull(),
    topic: text('topic').notNull(),
    /** Beginning of the last one. */
    payload: blob('payload', { mode: 'buffer' }).notNull(),
    payloadBytes: integer('payload_bytes').notNull(),
    problem: text('problem').notNull(),
    fix: text('fix').notNull(),
  },
  (t) => [uniqueIndex('refused_messages_by_logger_reason').on(t.loggerKey, t.reason)],
)

/** Offset of a logger's clock by day, as its messages told it: the least delayed one. */
export const clockChecks = sqliteTable(
  'clock_checks',
  {
    loggerId: integer('logger_id')
      .notNull()
      .references(() => loggers.id, { onDelete: 'cascade' }),
    /** Start of the day, UTC epoch ms. */
    dayAt: integer('day_at').notNull(),
    /** The logger's clock minus the service's. */
    offS: real('off_s').notNull(),
    count: integer('count').notNull(),
  },
  (t) => [primaryKey({ columns: [t.loggerId, t.dayAt] })],
)

/** A guided check of probes: side by side in one box, or over a salt. */
export const sensorChecks = sqliteTable('sensor_checks', {
  id: integer('id').primaryKey(),
  kind: text('kind', { enum: ['side by side', 'salt'] }).notNull(),
  /** Paths of the probes, logger key / probe key. */
  probes: json('probes').notNull(),
  salt: text('salt'),
  startedAt: integer('started_at').notNull(),
  endedAt: integer('ended_at'),
  state: text('state', { enum: ['running', 'done', 'given up'] }).notNull(),
  /** What was found and what was stored of it, when it is done. */
  result: json('result'),
  who: text('who').notNull(),
})

/** Facts of this installation by name, such as the name it has at an outside broker. */
export const serviceFacts = sqliteTable('service_facts', {
  name: text('name').primaryKey(),
  value: text('value').notNull(),
})

export const probes = sqliteTable(
  'probes',
  {
    id: integer('id').primaryKey(),
    loggerId: integer('logger_id')
      .notNull()
      .references(() => loggers.id, { onDelete: 'cascade' }),
    key: text('key').notNull(),
    accuracyTempC: real('accuracy_temp_c'),
    accuracyRhPct: real('accuracy_rh_pct'),
  },
  (t) => [uniqueIndex('probes_by_logger_key').on(t.loggerId, t.key)],
)

/** Which spot a probe was at, from when to when (end excluded, null while it is still there). */
export const placements = sqliteTable(
  'placements',
  {
    id: integer('id').primaryKey(),
    probeId: integer('probe_id')
      .notNull()
      .references(() => probes.id, { onDelete: 'cascade' }),
    spotId: integer('spot_id')
      .notNull()
      .references(() => spots.id, { onDelete: 'cascade' }),
    fromAt: integer('from_at').notNull(),
    fromLocal: text('from_local').notNull(),
    toAt: integer('to_at'),
    toLocal: text('to_local'),
  },
  (t) => [uniqueIndex('placements_by_probe_from').on(t.probeId, t.fromAt), index('placements_by_spot').on(t.spotId)],
)

/**
 * One reading is one row, stored as received in whole steps (series/quantities.ts) and never rewritten. WITHOUT ROWID:
 * the words are added by hand in the migration, because the schema language cannot express them.
 */
export const readings = sqliteTable(
  'readings',
  {
    probeId: integer('probe_id').notNull(),
    at: integer('at').notNull(),
    tempC: integer('temp_c'),
    rhPct: integer('rh_pct'),
    woodMcPct: integer('wood_mc_pct'),
    surfaceTempC: integer('surface_temp_c'),
    rainMm: integer('rain_mm'),
    waterPresent: integer('water_present'),
    powerW: integer('power_w'),
    condensateL: integer('condensate_l'),
    batteryV: integer('battery_v'),
    importId: integer('import_id'),
  },
  (t) => [primaryKey({ columns: [t.probeId, t.at] })],
)

/** Hour values of one probe with corrections applied, rebuilt from readings. WITHOUT ROWID. */
export const hourly = sqliteTable(
  'hourly',
  {
    probeId: integer('probe_id').notNull(),
    /** Start of the hour, UTC epoch ms. */
    at: integer('at').notNull(),
    count: integer('count').notNull(),
    tempC: real('temp_c'),
    tempMinC: real('temp_min_c'),
    tempMaxC: real('temp_max_c'),
    /** Mean RH serves only hours over a line; it is never converted to another humidity. */
    rhPct: real('rh_pct'),
    rhMinPct: real('rh_min_pct'),
    rhMaxPct: real('rh_max_pct'),
    vaporPressurePa: real('vapor_pressure_pa'),
    dewPointMaxC: real('dew_point_max_c'),
    woodMcPct: real('wood_mc_pct'),
    surfaceTempC: real('surface_temp_c'),
    surfaceTempMinC: real('surface_temp_min_c'),
    rainMm: real('rain_mm'),
    waterPresentShare: real('water_present_share'),
    powerW: real('power_w'),
    condensateL: real('condensate_l'),
    batteryMinV: real('battery_min_v'),
    /** Bit set of quality marks (series/quality.ts). */
    marks: integer('marks').notNull().default(0),
  },
  (t) => [primaryKey({ columns: [t.probeId, t.at] })],
)

/** Spans of a probe whose hour values are older than its readings or corrections. */
export const hourlyDue = sqliteTable('hourly_due', {
  probeId: integer('probe_id').primaryKey(),
  fromAt: integer('from_at').notNull(),
  toAt: integer('to_at').notNull(),
})

/** What the stored hours of a probe amount to, so that nobody sums them again until they are rebuilt. */
export const hourlyDigests = sqliteTable('hourly_digests', {
  probeId: integer('probe_id').primaryKey(),
  digest: text('digest').notNull(),
})

/** A dated row applied when hour values are built; the readings themselves stay as received. */
export const corrections = sqliteTable(
  'corrections',
  {
    id: integer('id').primaryKey(),
    probeId: integer('probe_id')
      .notNull()
      .references(() => probes.id, { onDelete: 'cascade' }),
    /** A quantity, or 'clock' for an offset of the probe's clock in seconds. */
    quantity: text('quantity').notNull(),
    offset: real('offset').notNull(),
    fromAt: integer('from_at').notNull(),
    fromLocal: text('from_local').notNull(),
    toAt: integer('to_at'),
    toLocal: text('to_local'),
    why: text('why').notNull(),
  },
  (t) => [index('corrections_by_probe').on(t.probeId, t.fromAt)],
)

/** A weather source shared by houses. Its readings are those of its probe. */
export const stations = sqliteTable('stations', {
  id: integer('id').primaryKey(),
  key: text('key').notNull().unique(),
  name: text('name').notNull(),
  kind: text('kind', { enum: ['file', 'mqtt', 'https'] }).notNull(),
  quantities: json('quantities').notNull(),
  config: json('config').notNull().default(sql`'{}'`),
  probeId: integer('probe_id')
    .notNull()
    .references(() => probes.id),
})

/** How the scheduled fetches of a station go; one row, rewritten with each. */
export const stationFetches = sqliteTable('station_fetches', {
  stationId: integer('station_id')
    .primaryKey()
    .references(() => stations.id, { onDelete: 'cascade' }),
  triedAt: integer('tried_at').notNull(),
  okAt: integer('ok_at'),
  /** Why the last one failed; null when it did not. */
  problem: text('problem'),
  failures: integer('failures').notNull().default(0),
  /** The tag of the last answer, so that what has not changed is not sent again. */
  tag: text('tag'),
  newestAt: integer('newest_at'),
  stored: integer('stored').notNull().default(0),
})

export const houseStations = sqliteTable(
  'house_stations',
  {
    houseId: integer('house_id')
      .notNull()
      .references(() => houses.id, { onDelete: 'cascade' }),
    stationId: integer('station_id')
      .notNull()
      .references(() => stations.id),
  },
  (t) => [primaryKey({ columns: [t.houseId, t.stationId] })],
)

export { WORK_KINDS, type WorkKind }

/** Something done to the house on a date (or from-to, for on/off trials). */
export const works = sqliteTable(
  'works',
  {
    id: integer('id').primaryKey(),
    houseId: integer('house_id')
      .notNull()
      .references(() => houses.id, { onDelete: 'cascade' }),
    key: text('key').notNull(),
    kind: text('kind', { enum: WORK_KINDS }).notNull(),
    fromAt: integer('from_at').notNull(),
    fromLocal: text('from_local').notNull(),
    toAt: integer('to_at'),
    toLocal: text('to_local'),
    note: text('note'),
    details: json('details'),
  },
  (t) => [uniqueIndex('works_by_house_key').on(t.houseId, t.key)],
)

export const EVENT_KINDS = [
  'visit',
  'air conditioning season',
  'vent opened',
  'power cut',
  'flood',
  'logger touched',
  'other',
] as const

/** Dated, not a remedy: it excludes or explains days. */
export const events = sqliteTable(
  'events',
  {
    id: integer('id').primaryKey(),
    houseId: integer('house_id')
      .notNull()
      .references(() => houses.id, { onDelete: 'cascade' }),
    kind: text('kind', { enum: EVENT_KINDS }).notNull(),
    fromAt: integer('from_at').notNull(),
    fromLocal: text('from_local').notNull(),
    toAt: integer('to_at'),
    toLocal: text('to_local'),
    note: text('note'),
  },
  (t) => [index('events_by_house').on(t.houseId, t.fromAt)],
)

/** One visit: what a person saw and measured by hand. */
export const surveys = sqliteTable(
  'surveys',
  {
    id: integer('id').primaryKey(),
    houseId: integer('house_id')
      .notNull()
      .references(() => houses.id, { onDelete: 'cascade' }),
    at: integer('at').notNull(),
    atLocal: text('at_local').notNull(),
    by: text('by'),
    note: text('note'),
    /** Hand readings: the `readings` array of a house folder's survey. */
    readings: json('readings').notNull().default(sql`'[]'`),
  },
  (t) => [index('surveys_by_house').on(t.houseId, t.at)],
)

export const photos = sqliteTable(
  'photos',
  {
    houseId: integer('house_id')
      .notNull()
      .references(() => houses.id, { onDelete: 'cascade' }),
    /** SHA-256 of the file's bytes, in hex: the same picture is kept once. */
    hash: text('hash').notNull(),
    mediaType: text('media_type').notNull(),
    takenAt: integer('taken_at'),
    takenLocal: text('taken_local'),
    caption: text('caption').notNull().default(''),
  },
  (t) => [primaryKey({ columns: [t.houseId, t.hash] })],
)

export const IMPORT_STATES = ['stored', 'storing', 'canceled', 'refused', 'undone'] as const

/** One file brought in: what was understood and what became of its rows. */
export const imports = sqliteTable(
  'imports',
  {
    id: integer('id').primaryKey(),
    houseId: integer('house_id').references(() => houses.id, { onDelete: 'cascade' }),
    fileName: text('file_name').notNull(),
    fileHash: text('file_hash'),
    fileBytes: integer('file_bytes').notNull(),
    state: text('state', { enum: IMPORT_STATES }).notNull(),
    understanding: json('understanding').notNull(),
    stored: integer('stored').notNull().default(0),
    repeated: integer('repeated').notNull().default(0),
    filled: integer('filled').notNull().default(0),
    differs: integer('differs').notNull().default(0),
    refused: integer('refused').notNull().default(0),
    startedAt: integer('started_at').notNull(),
    finishedAt: integer('finished_at'),
    note: text('note'),
  },
  (t) => [index('imports_by_house').on(t.houseId)],
)

/** Lines of an import that were not stored as they stand, each with its reason: the downloadable receipt. */
export const importLines = sqliteTable(
  'import_lines',
  {
    importId: integer('import_id').notNull(),
    line: integer('line').notNull(),
    /** Several quantities of one line can be refused apart. */
    part: integer('part').notNull(),
    outcome: text('outcome', { enum: ['refused', 'differs'] }).notNull(),
    problem: text('problem').notNull(),
    fix: text('fix').notNull(),
    text: text('text').notNull(),
  },
  (t) => [primaryKey({ columns: [t.importId, t.line, t.part] })],
)

/** The firm's answers for files of one layout, so that the same question is asked once. */
export const importAnswers = sqliteTable('import_answers', {
  shapeKey: text('shape_key').primaryKey(),
  answers: json('answers').notNull(),
  at: integer('at').notNull(),
})

/** One conclusion with its numbers, kept until its inputs change. */
export const findings = sqliteTable(
  'findings',
  {
    id: integer('id').primaryKey(),
    houseId: integer('house_id')
      .notNull()
      .references(() => houses.id, { onDelete: 'cascade' }),
    question: text('question').notNull(),
    ordinal: integer('ordinal').notNull(),
    fingerprint: text('fingerprint').notNull(),
    body: json('body').notNull(),
    computedAt: integer('computed_at').notNull(),
  },
  (t) => [
    uniqueIndex('findings_by_house_question').on(t.houseId, t.question, t.ordinal),
    // The watch asks every few seconds, and must not read through the bodies for it.
    index('findings_by_house_computed').on(t.houseId, t.computedAt),
  ],
)

export const JOB_STATES = ['waiting', 'running', 'done', 'failed', 'canceled'] as const

export const jobs = sqliteTable(
  'jobs',
  {
    id: integer('id').primaryKey(),
    kind: text('kind').notNull(),
    houseId: integer('house_id').references(() => houses.id, { onDelete: 'cascade' }),
    args: json('args').notNull(),
    state: text('state', { enum: JOB_STATES }).notNull(),
    /** Units of work done and in all; what a unit is belongs to the kind (bytes of a file, days of a fit). */
    done: real('done').notNull().default(0),
    total: real('total'),
    message: text('message').notNull().default(''),
    cancelRequested: integer('cancel_requested', { mode: 'boolean' }).notNull().default(false),
    attempts: integer('attempts').notNull().default(0),
    result: json('result'),
    createdAt: integer('created_at').notNull(),
    startedAt: integer('started_at'),
    /** The worker's last sign of life; a running job without one is taken up again after a restart. */
    heardAt: integer('heard_at'),
    finishedAt: integer('finished_at'),
  },
  (t) => [index('jobs_by_state').on(t.state, t.id)],
)

/** Who changed what, when. */
export const history = sqliteTable(
  'history',
  {
    id: integer('id').primaryKey(),
    houseId: integer('house_id'),
    at: integer('at').notNull(),
    who: text('who').notNull(),
    /** The act in a few words: 'loaded house folder', 'added work'. */
    what: text('what').notNull(),
    subject: text('subject').notNull(),
    /** By path of the element that changed (treeChanges.ts); null where it was not there. */
    before: json('before'),
    after: json('after'),
    /** The entry that this one put back. */
    undoes: integer('undoes'),
  },
  (t) => [index('history_by_house').on(t.houseId, t.at)],
)

export const URGENCIES = ['note', 'soon', 'urgent'] as const
export type Urgency = (typeof URGENCIES)[number]

/** Something to look at in a house: one open per house and cause. */
export const notices = sqliteTable(
  'notices',
  {
    id: integer('id').primaryKey(),
    houseId: integer('house_id')
      .notNull()
      .references(() => houses.id, { onDelete: 'cascade' }),
    /** The watch that opened it, and what it is about within the house, such as a spot. */
    watch: text('watch').notNull(),
    cause: text('cause').notNull(),
    urgency: text('urgency', { enum: URGENCIES }).notNull(),
    /** When the readings say it began, and when the service saw it. */
    sinceAt: integer('since_at').notNull(),
    openedAt: integer('opened_at').notNull(),
    updatedAt: integer('updated_at').notNull(),
    acknowledgedAt: integer('acknowledged_at'),
    acknowledgedBy: text('acknowledged_by'),
    snoozedUntil: integer('snoozed_until'),
    escalatedAt: integer('escalated_at'),
    clearedAt: integer('cleared_at'),
    /** Place, numbers and words, as the watch last saw them. */
    body: json('body').notNull(),
  },
  (t) => [
    index('notices_by_house').on(t.houseId, t.openedAt),
    uniqueIndex('notices_open_by_cause').on(t.houseId, t.watch, t.cause).where(sql`cleared_at is null`),
  ],
)

export const NOTICE_CHANGES = [
  'opened',
  'updated',
  'more urgent',
  'less urgent',
  'acknowledged',
  'snoozed',
  'escalated',
  'cleared',
] as const

export const noticeChanges = sqliteTable(
  'notice_changes',
  {
    id: integer('id').primaryKey(),
    noticeId: integer('notice_id')
      .notNull()
      .references(() => notices.id, { onDelete: 'cascade' }),
    at: integer('at').notNull(),
    change: text('change', { enum: NOTICE_CHANGES }).notNull(),
    who: text('who').notNull(),
    body: json('body'),
  },
  (t) => [index('notice_changes_by_notice').on(t.noticeId, t.at)],
)

/** How far the watches of a house have looked and what they hold in mind. */
export const watchStates = sqliteTable('watch_states', {
  houseId: integer('house_id')
    .primaryKey()
    .references(() => houses.id, { onDelete: 'cascade' }),
  lookedAt: integer('looked_at').notNull(),
  /** Of the engine that wrote it: another begins anew. */
  version: integer('version').notNull(),
  state: json('state').notNull(),
})

/** Houses whose hours changed from an instant on, since the watch looked; one row, growing until it looks again. */
export const watchDue = sqliteTable('watch_due', {
  houseId: integer('house_id')
    .primaryKey()
    .references(() => houses.id, { onDelete: 'cascade' }),
  fromAt: integer('from_at').notNull(),
  /** How often it was marked: what came while the watch looked is not lost. */
  marks: integer('marks').notNull(),
})

export const LETTER_STATES = ['waiting', 'sending', 'sent', 'given up', 'not wanted'] as const

/** The outbox: every letter from the moment it is decided until long after it was sent. */
export const letters = sqliteTable(
  'letters',
  {
    id: integer('id').primaryKey(),
    /** Who asks twice for the same letter gets one. */
    onceKey: text('once_key').notNull().unique(),
    houseId: integer('house_id').references(() => houses.id, { onDelete: 'cascade' }),
    noticeId: integer('notice_id').references(() => notices.id, { onDelete: 'set null' }),
    personId: integer('person_id').references(() => people.id, { onDelete: 'cascade' }),
    kind: text('kind').notNull(),
    toAddress: text('to_address').notNull(),
    toName: text('to_name').notNull(),
    messageId: text('message_id').notNull().unique(),
    /** Message-ID of the first letter of its notice. */
    threadId: text('thread_id'),
    subject: text('subject').notNull(),
    text: text('text').notNull(),
    html: text('html').notNull(),
    picture: blob('picture', { mode: 'buffer' }),
    pictureAlt: text('picture_alt'),
    calendar: text('calendar'),
    /** Where one click stops letters of its class; null for those that cannot be stopped. */
    unsubscribeUrl: text('unsubscribe_url'),
    /** Carries a secret: its words are wiped once it is sent. */
    secret: integer('secret', { mode: 'boolean' }).notNull().default(false),
    state: text('state', { enum: LETTER_STATES }).notNull(),
    createdAt: integer('created_at').notNull(),
    notBeforeAt: integer('not_before_at').notNull(),
    attempts: integer('attempts').notNull().default(0),
    triedAt: integer('tried_at'),
    sentAt: integer('sent_at'),
    problem: text('problem'),
    /** The post said for good that there is no such address: two of these in a row, and no more goes there. */
    addressRefused: integer('address_refused', { mode: 'boolean' }).notNull().default(false),
  },
  (t) => [
    // Words and pictures lie before what changes: without an index that holds the answer SQLite reads through them.
    index('letters_by_state').on(t.state, t.notBeforeAt),
    index('letters_by_house').on(t.houseId, t.state, t.sentAt),
    index('letters_by_person').on(t.personId, t.houseId, t.createdAt),
    index('letters_by_notice').on(t.noticeId, t.personId),
    index('letters_by_address').on(sql`lower(${t.toAddress})`),
    index('letters_by_tried').on(t.triedAt),
  ],
)

/** Classes of letters a person does not want, of one house each. */
export const lettersStopped = sqliteTable(
  'letters_stopped',
  {
    personId: integer('person_id')
      .notNull()
      .references(() => people.id, { onDelete: 'cascade' }),
    houseId: integer('house_id')
      .notNull()
      .references(() => houses.id, { onDelete: 'cascade' }),
    letterClass: text('letter_class').notNull(),
    at: integer('at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.personId, t.houseId, t.letterClass] })],
)
