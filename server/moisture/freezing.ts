/** Cold hours and freezes in the space, for pipes and for winter checks. */
import { HOUR_MS } from './input.ts'
import { knownHours, type LocalDay, localDays, type Observed } from './observed.ts'

export interface FreezingLimits {
  freezeWatchC: number
  freezeActC: number
  /** A freeze is any logger at or below `freezeActC` for this long [h]. */
  freezeEventHours: number
}

/** Two freezes closer than this are one event [h]: a thaw shorter than a day does not end a cold spell. */
const JOIN_HOURS = 24

export interface FreezeEvent {
  from: number
  to: number
  lowestTempC: number
  /** Spots that stood at or below freezing for long enough. */
  spots: string[]
}

export interface ColdDay {
  at: number
  /** Hours of the coldest spot below the watch line and at or below the act line. */
  watchHours: number
  actHours: number
  lowestTempC: number
}

export interface Freezing {
  events: FreezeEvent[]
  /** Days with an hour below the watch line. */
  days: ColdDay[]
  watchHours: number
  actHours: number
  /** Hours in which no logger was heard; cold may hide there. */
  missingHours: number
}

export function freezing(observed: Observed, limits: FreezingLimits): Freezing {
  const { spots, hours, startAt } = observed
  const coldest = new Float64Array(hours).fill(Number.NaN)
  for (const { tempC } of spots) {
    for (let h = 0; h < hours; h++) {
      const temp = tempC[h]!
      if (!Number.isNaN(temp) && !(coldest[h]! <= temp)) coldest[h] = temp
    }
  }
  const days = localDays(observed).map((day) => coldDay(coldest, day, limits))
  return {
    events: freezeEvents(observed, limits, startAt),
    days: days.filter((day) => day.watchHours > 0),
    watchHours: days.reduce((sum, day) => sum + day.watchHours, 0),
    actHours: days.reduce((sum, day) => sum + day.actHours, 0),
    missingHours: hours - knownHours(coldest, 0, hours),
  }
}

function coldDay(coldest: Float64Array, day: LocalDay, limits: FreezingLimits): ColdDay {
  let [watchHours, actHours, lowestTempC] = [0, 0, Number.POSITIVE_INFINITY]
  for (let h = day.from; h < day.to; h++) {
    const temp = coldest[h]!
    if (temp < limits.freezeWatchC) watchHours++
    if (temp <= limits.freezeActC) actHours++
    if (temp < lowestTempC) lowestTempC = temp
  }
  return { at: day.at, watchHours, actHours, lowestTempC }
}

/** Runs at or below freezing of every logger (a missing hour ends a run), joined where they are close in time. */
function freezeEvents({ spots, hours }: Observed, limits: FreezingLimits, startAt: number): FreezeEvent[] {
  const runs: { spot: string; from: number; to: number; lowest: number }[] = []
  for (const { key, tempC } of spots) {
    let [from, lowest] = [-1, Number.POSITIVE_INFINITY]
    for (let h = 0; h <= hours; h++) {
      const frozen = h < hours && tempC[h]! <= limits.freezeActC
      if (frozen) {
        if (from < 0) [from, lowest] = [h, Number.POSITIVE_INFINITY]
        lowest = Math.min(lowest, tempC[h]!)
      } else if (from >= 0) {
        if (h - from >= limits.freezeEventHours) runs.push({ spot: key, from, to: h, lowest })
        from = -1
      }
    }
  }
  runs.sort((a, b) => a.from - b.from)
  const events: FreezeEvent[] = []
  for (const run of runs) {
    const [from, to] = [startAt + run.from * HOUR_MS, startAt + run.to * HOUR_MS]
    const last = events.at(-1)
    if (last && from - last.to < JOIN_HOURS * HOUR_MS) {
      last.to = Math.max(last.to, to)
      last.lowestTempC = Math.min(last.lowestTempC, run.lowest)
      if (!last.spots.includes(run.spot)) last.spots.push(run.spot)
    } else {
      events.push({ from, to, lowestTempC: run.lowest, spots: [run.spot] })
    }
  }
  return events
}
