/** Hour values summed up by equal buckets of time inside the database: a year of a probe in a few milliseconds. */
import type { Database } from './open.ts'
import { statement } from './unitsOfWork.ts'

export interface BucketSpan {
  /** Start of the first bucket and end of the last one, UTC epoch ms; whole hours. */
  from: number
  to: number
  bucketMs: number
  /** Nothing before this counts, wherever the first bucket begins. */
  notBefore?: number
}

/** What a bucket can be asked for: only the columns that are needed are read, for a year is 8,760 rows a probe. */
const COLUMNS = {
  tempC: ['min(temp_min_c)', 'avg(temp_c)', 'max(temp_max_c)'],
  rhPct: ['min(rh_min_pct)', 'avg(rh_pct)', 'max(rh_max_pct)'],
  /** Lowest and highest are of hourly means; the highest dew point of an hour is kept apart. */
  vaporPressurePa: ['min(vapor_pressure_pa)', 'avg(vapor_pressure_pa)', 'max(vapor_pressure_pa)'],
  dewPointC: ['min(vapor_pressure_pa)', 'avg(vapor_pressure_pa)', 'max(dew_point_max_c)'],
  rainMm: ['null', 'sum(rain_mm)', 'null'],
} as const
export type BucketQuantity = keyof typeof COLUMNS

/** One row a bucket that holds anything; null where nothing of the quantity is known. */
export interface HourBucket {
  bucket: number
  low: number | null
  mid: number | null
  high: number | null
}

/**
 * Each bucket is looked up by the key: grouping the rows would sort what is sorted already, at twice the time.
 * @param leftOutBits hours that carry one of these marks do not count
 * @returns ascending; buckets in which nothing is known are not there
 */
export async function readHourBuckets(
  db: Database,
  probeId: number,
  quantity: BucketQuantity,
  { from, to, bucketMs, notBefore = from }: BucketSpan,
  leftOutBits: number,
): Promise<HourBucket[]> {
  const read = statement(
    db,
    `with recursive buckets(k, at) as (select 0, @from union all select k + 1, at + @bucketMs from buckets where at + @bucketMs < @to)
    select k, (select json_array(${COLUMNS[quantity].join()}) from hourly h where h.probe_id = @probeId
      and h.at >= max(buckets.at, @notBefore) and h.at < min(buckets.at + @bucketMs, @to) and h.marks & @bits = 0) from buckets`,
  ).raw()
  const rows = read.all({
    probeId: whole(probeId),
    from: whole(from),
    to: whole(to),
    bucketMs: whole(bucketMs),
    bits: whole(leftOutBits),
    notBefore: whole(notBefore),
  } as never) as [bucket: number, values: string][]
  return rows.flatMap(([bucket, values]): HourBucket[] => {
    const [low, mid, high] = JSON.parse(values) as [number | null, number | null, number | null]
    return mid === null ? [] : [{ bucket, low, mid, high }]
  })
}

/** A number of JavaScript would be bound as a real one, and divide and compare as such. */
const whole = (value: number): bigint => BigInt(Math.round(value))

/** Whether any hour of a span carries one of these marks. */
export async function hasMarkedHours(
  db: Database,
  probeId: number,
  { from, to }: { from: number; to: number },
  bits: number,
): Promise<boolean> {
  const find = statement(
    db,
    'select 1 from hourly where probe_id = @probeId and at >= @from and at < @to and marks & @bits <> 0 limit 1',
  )
  return (
    find.get({ probeId: whole(probeId), from: whole(from), to: whole(to), bits: whole(bits) } as never) !== undefined
  )
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
