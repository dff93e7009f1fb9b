/** A dehumidifier that starts too often: counted where readings are fast enough, else said to be unseen. */
import { DAY_HOURS, HOUR_MS, type HouseRecord } from './input.ts'
import { mostStartsSeen } from './machineRuns.ts'

export interface CyclingLimits {
  /** An hour with more starts than this counts ... */
  cyclingStartsPerH: number
  /** ... a day with this many such hours ... */
  cyclingHoursPerDay: number
  /** ... and this many such days in a row are short cycling. */
  cyclingDays: number
}

/** Compressors are held off for three minutes or so after a stop (common practice, no source): no cycle hides from faster readings. */
const SURE_MINUTES = 3
/** A tooth of RH keeps most of its height with so many readings in it; measured on an invented one. */
const READINGS_A_TOOTH = 4

export interface Cycling {
  at: number
  startsPerH: number
  runMinutes: number
  basis: 'power' | 'humidity'
}

/** The first days in a row with too many such hours; null when there are none, or none could be seen. */
export function findCycling({ machineRuns, startAt }: HouseRecord, limits: CyclingLimits): Cycling | null {
  if (!machineRuns || mostStartsSeen(machineRuns.everyMinutes) <= limits.cyclingStartsPerH) return null
  const { starts, runShare, basis } = machineRuns
  const isBusy = (h: number) => starts[h]! > limits.cyclingStartsPerH
  let run = 0
  for (let day = 0; (day + 1) * DAY_HOURS <= starts.length; day++) {
    let busy = 0
    for (let h = day * DAY_HOURS; h < (day + 1) * DAY_HOURS; h++) if (isBusy(h)) busy++
    run = busy >= limits.cyclingHoursPerDay ? run + 1 : 0
    if (run < limits.cyclingDays) continue
    const from = (day - run + 1) * DAY_HOURS
    let [count, ran, hours] = [0, 0, 0]
    for (let h = from; h < (day + 1) * DAY_HOURS; h++) {
      if (!isBusy(h)) continue
      count += starts[h]!
      ran += runShare[h]!
      hours++
    }
    return { at: startAt + from * HOUR_MS, startsPerH: count / hours, runMinutes: (60 * ran) / count, basis }
  }
  return null
}

/** Why short cycling could not be seen, though there is a machine; null when it could, or when there is none. */
export function cyclingUnseen(record: HouseRecord, limits: CyclingLimits): string | null {
  const runs = record.machineRuns ?? null
  const every = runs?.everyMinutes ?? record.machineReadingsEveryMinutes ?? null
  if (every === null) return null
  const minutes = every.toFixed(0)
  if (mostStartsSeen(every) <= limits.cyclingStartsPerH) {
    return (
      `Short cycling of the dehumidifier cannot be seen in readings ${minutes} minutes apart: a cycle shorter than ` +
      `${(2 * every).toFixed(0)} minutes shows as a slower one. Set the logger, or a power meter, to 3 minutes or less.`
    )
  }
  if (runs === null) return 'Short cycling of the dehumidifier not looked for: its readings show no two levels.'
  if (findCycling(record, limits) !== null) return null
  const surely = 60 / (READINGS_A_TOOTH * every)
  if (runs.basis === 'humidity' && surely < limits.cyclingStartsPerH) {
    return (
      `RH read every ${minutes} minutes shows surely at most ${surely.toFixed(0)} starts of the dehumidifier an hour: faster ` +
      'cycles lose their peaks between readings. Read every 3 minutes or less, or meter the power.'
    )
  }
  if (runs.basis === 'humidity' || every < SURE_MINUTES) return null
  return `Power is read every ${minutes} minutes: runs and rests of the dehumidifier shorter than ${minutes} minutes may slip between.`
}
