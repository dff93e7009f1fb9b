/** How the fetches of a station go: each one, its past window by window, and what it said last. */
import type { Database } from './open.ts'
import { type Backfill, PLAIN_CONFIG, type StationConfig } from './stations.ts'
import { STEPS_PER_UNIT } from './steps.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

/** One that has asked for nothing yet. */
export const begunBackfill = ({ from, nextAt, toAt }: Pick<Backfill, 'from' | 'nextAt' | 'toAt'>): Backfill => ({
  from,
  nextAt,
  toAt,
  stored: 0,
  failures: 0,
  triedAt: 0,
  state: 'running',
  problem: null,
})

export interface LastHeard {
  at: number
  tempC: number | null
  rhPct: number | null
  /** Rain of the 24 hours before; null where none was measured. */
  rainMm: number | null
}

const DAY_MS = 86_400_000

/** What its probe said last; null when it never said anything. */
export async function findLastHeard(db: Database, probeId: number): Promise<LastHeard | null> {
  const at = statement(db, 'select max(at) from readings where probe_id = cast(? as integer)').pluck().get(probeId) as
    | number
    | null
  if (at === null) return null
  const air = statement(
    db,
    `select temp_c as temp, rh_pct as rh from readings where probe_id = cast(? as integer) and at > ?
     and coalesce(temp_c, rh_pct) is not null order by at desc limit 1`,
  ).get(probeId, at - DAY_MS) as { temp: number | null; rh: number | null } | undefined
  const rain = statement(db, 'select sum(rain_mm) from readings where probe_id = cast(? as integer) and at > ?')
    .pluck()
    .get(probeId, at - DAY_MS) as number | null
  const inUnit = (steps: number | null | undefined, quantity: keyof typeof STEPS_PER_UNIT) =>
    steps == null ? null : steps / STEPS_PER_UNIT[quantity]
  return { at, tempC: inUnit(air?.temp, 'tempC'), rhPct: inUnit(air?.rh, 'rhPct'), rainMm: inUnit(rain, 'rainMm') }
}

/** What one fetch came to. A station that was removed meanwhile is left alone. */
export async function noteFetch(
  db: Database,
  stationId: number,
  noted:
    | {
        at: number
        ok: true
        tag: string | null
        newestAt: number | null
        stored: number
        quantities: readonly string[]
      }
    | { at: number; ok: true; unchanged: true }
    | { at: number; ok: false; problem: string },
): Promise<void> {
  inTransaction(db, () => {
    if (statement(db, 'select 1 from stations where id = ?').get(stationId) === undefined) return
    statement(
      db,
      'insert into station_fetches (station_id, tried_at) values (?, ?) on conflict (station_id) do update set tried_at = excluded.tried_at',
    ).run(stationId, noted.at)
    if (!noted.ok) {
      statement(db, 'update station_fetches set problem = ?, failures = failures + 1 where station_id = ?').run(
        noted.problem,
        stationId,
      )
      return
    }
    statement(
      db,
      'update station_fetches set problem = null, failures = 0, ok_at = ?, stored = 0 where station_id = ?',
    ).run(noted.at, stationId)
    if ('unchanged' in noted) return
    statement(
      db,
      `update station_fetches set tag = ?, stored = ?, newest_at = nullif(max(coalesce(newest_at, 0), coalesce(?, 0)), 0)
       where station_id = ?`,
    ).run(noted.tag, noted.stored, noted.newestAt, stationId)
    addQuantities(db, stationId, noted.quantities)
  })
}

/** What it was found to tell, beside what it was known to. */
function addQuantities(db: Database, stationId: number, found: readonly string[]): void {
  const known = JSON.parse(
    statement(db, 'select quantities from stations where id = ?').pluck().get(stationId) as string,
  ) as string[]
  const all = [...known, ...found.filter((quantity) => !known.includes(quantity))]
  if (all.length === known.length) return
  statement(db, 'update stations set quantities = ? where id = ?').run(JSON.stringify(all), stationId)
}

/** Begun, moved on or ended; false when the station is gone, or its backfill is no longer the one it was read as. */
export async function noteBackfill(
  db: Database,
  stationId: number,
  backfill: Backfill,
  instead: Backfill | 'any',
): Promise<boolean> {
  return inTransaction(db, () => {
    const text = statement(db, 'select config from stations where id = ?').pluck().get(stationId) as string | undefined
    if (text === undefined) return false
    const config = { ...PLAIN_CONFIG, ...(JSON.parse(text) as Partial<StationConfig>) }
    if (instead !== 'any' && JSON.stringify(config.backfill) !== JSON.stringify(instead)) return false
    statement(db, 'update stations set config = ? where id = ?').run(JSON.stringify({ ...config, backfill }), stationId)
    return true
  })
}
