/** Hour values summed up by equal buckets of time inside the database: a year of a probe in a few milliseconds. */
import type { Database } from './open.ts'
import { statement } from './unitsOfWork.ts'

export interface BucketSpan {
  /** Start of the first bucket and end of the last one, UTC epoch ms; whole hours. */
  from: number
  to: number
  bucketMs: number
}

/** One row a bucket that holds anything; null where nothing of the quantity is known. */
export interface HourBucket {
  bucket: number
  tempMinC: number | null
  tempC: number | null
  tempMaxC: number | null
  rhMinPct: number | null
  rhPct: number | null
  rhMaxPct: number | null
  vaporMinPa: number | null
  vaporPa: number | null
  vaporMaxPa: number | null
  dewPointMaxC: number | null
  woodMinPct: number | null
  woodPct: number | null
  woodMaxPct: number | null
  rainMm: number | null
}

/**
 * @param leftOutBits hours that carry one of these marks count for rain and wood alone
 * @returns ascending; buckets without an hour are not there
 */
export async function readHourBuckets(
  db: Database,
  probeId: number,
  { from, to, bucketMs }: BucketSpan,
  leftOutBits: number,
): Promise<HourBucket[]> {
  const air = (column: string) => `case when marks & cast(@leftOutBits as integer) = 0 then ${column} end`
  return statement(
    db,
    `select (at - cast(@from as integer)) / cast(@bucketMs as integer) as bucket,
      min(${air('temp_min_c')}) as tempMinC, avg(${air('temp_c')}) as tempC, max(${air('temp_max_c')}) as tempMaxC,
      min(${air('rh_min_pct')}) as rhMinPct, avg(${air('rh_pct')}) as rhPct, max(${air('rh_max_pct')}) as rhMaxPct,
      min(${air('vapor_pressure_pa')}) as vaporMinPa, avg(${air('vapor_pressure_pa')}) as vaporPa,
      max(${air('vapor_pressure_pa')}) as vaporMaxPa, max(${air('dew_point_max_c')}) as dewPointMaxC,
      min(wood_mc_pct) as woodMinPct, avg(wood_mc_pct) as woodPct, max(wood_mc_pct) as woodMaxPct,
      sum(rain_mm) as rainMm
    from hourly where probe_id = cast(@probeId as integer) and at >= cast(@from as integer) and at < cast(@to as integer)
    group by bucket order by bucket`,
  ).all({ probeId, from, to, bucketMs, leftOutBits } as never) as HourBucket[]
}

export interface MarkedHours {
  from: number
  to: number
  /** Bit set of quality marks. */
  bits: number
}

/** Runs of hours that carry one of these marks, ascending. */
export async function findMarkedHours(
  db: Database,
  probeId: number,
  span: { from: number; to: number },
  bits: number,
): Promise<MarkedHours[]> {
  const hourMs = 3_600_000
  const rows = statement(
    db,
    `select at, marks & cast(@bits as integer) as bits from hourly where probe_id = cast(@probeId as integer)
      and at >= cast(@from as integer) and at < cast(@to as integer) and marks & cast(@bits as integer) <> 0 order by at`,
  ).all({ probeId, ...span, bits } as never) as { at: number; bits: number }[]
  const runs: MarkedHours[] = []
  for (const { at, bits: own } of rows) {
    const last = runs.at(-1)
    if (last && last.to === at && last.bits === own) last.to = at + hourMs
    else runs.push({ from: at, to: at + hourMs, bits: own })
  }
  return runs
}

export interface LastHour {
  at: number
  tempC: number | null
  rhPct: number | null
  vaporPressurePa: number | null
  woodMcPct: number | null
}

/** The last hour of a probe within a span in which anything was heard. */
export async function findLastHour(
  db: Database,
  probeId: number,
  from: number,
  to: number,
): Promise<LastHour | undefined> {
  return statement(
    db,
    `select at, temp_c as tempC, rh_pct as rhPct, vapor_pressure_pa as vaporPressurePa, wood_mc_pct as woodMcPct
      from hourly where probe_id = ? and at >= ? and at < ? order by at desc limit 1`,
  ).get(probeId, from, to) as LastHour | undefined
}

/** The last battery voltage a probe told, if it ever told one. */
export async function findLastBattery(db: Database, probeId: number): Promise<number | null> {
  const found = statement(
    db,
    'select battery_min_v from hourly where probe_id = ? and battery_min_v is not null order by at desc limit 1',
  )
    .pluck()
    .get(probeId) as number | undefined
  return found ?? null
}
