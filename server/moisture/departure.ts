/**
 * Has the house left the path that was fitted to it? Lists what may have begun, when, and how well each kind explains
 * it, best first. Kinds are ranked, not asserted: several causes wet the air in the same way.
 */
import type { Stretch } from './balance.ts'
import type { Effect } from './effect.ts'
import type { HouseModel } from './house.ts'
import { DAY_HOURS, HOUR_MS } from './input.ts'
import { dailyLiters } from './need.ts'
import { onsetScanner } from './onset.ts'
import { Observer } from './residuals.ts'

export type DepartureKind =
  | 'leak began'
  | 'vents opened'
  | 'drains blocked'
  | 'dehumidifier stopped'
  | 'dehumidifier too small'
  | 'dehumidifier short cycling'
  | 'work made it wetter'

export interface Departure {
  kind: DepartureKind
  at: number
  /** Natural logarithm of how much better the data are explained than without it; 6 and more is strong. */
  support: number
  size: string
  reason: string
}

/** Evidence below which nothing is reported. */
const LEAST_SUPPORT = 6
/** More starts an hour than this, for a week, is short cycling (common practice, no source). */
const MOST_STARTS_PER_H = 4
const CYCLING_DAYS = 7

const PROBES: readonly { kind: DepartureKind; probe: (s: Stretch) => Stretch; size: (size: number) => string }[] = [
  {
    kind: 'leak began',
    probe: (s) => ({ ...s, leakKgPerH: s.leakKgPerH + 0.1 }),
    size: (size) => `about ${Math.max(0, size * 2.4).toFixed(1)} L a day`,
  },
  {
    kind: 'vents opened',
    probe: (s) => ({ ...s, changesPerH: s.changesPerH * 1.2 }),
    size: (size) => `air exchange about ${(1 + 0.2 * Math.max(0, size)).toFixed(1)} times`,
  },
  {
    kind: 'drains blocked',
    probe: (s) => ({ ...s, rainShare: s.rainShare * 1.2 }),
    size: (size) => `water from rain about ${(1 + 0.2 * Math.max(0, size)).toFixed(1)} times`,
  },
]

export function findDepartures(model: HouseModel, effects: readonly Effect[]): Departure[] {
  const at = (hour: number) => model.record.startAt + hour * HOUR_MS
  const out: Departure[] = []
  const { stop, leak } = model
  if (stop) {
    const support = Math.abs(stop.margin)
    const from = at(stop.span.fromHour)
    const [kind, other] = stop.failed
      ? (['dehumidifier stopped', 'too small for the load'] as const)
      : (['dehumidifier too small', 'stopped'] as const)
    const reason = `Humidity left the level it was held at; "${other}" explains the days worse by ${support.toFixed(0)}.`
    out.push({ kind, at: from, support, size: '', reason })
  }
  if (leak) {
    const size = `about ${dailyLiters(new Float64Array(DAY_HOURS).fill(leak.kgPerH))[0]!.toFixed(1)} L a day`
    const reason = 'A steady source from that day on, whatever the weather, explains the days after it.'
    out.push({ kind: 'leak began', at: at(leak.fromHour), support: leak.gain, size, reason })
  }
  out.push(...scanned(model, leak !== null))
  const cycling = shortCycling(model)
  if (cycling !== null) out.push(cycling)
  for (const effect of effects) {
    if (effect.verdict !== 'wetter' || effect.soFar.humidityRatioGKg.low <= 0) continue
    const size = `${effect.soFar.humidityRatioGKg.mid.toFixed(2)} g/kg wetter`
    const reason = 'With the work the air is moister than it would have been without, in the same weather.'
    out.push({ kind: 'work made it wetter', at: effect.from, support: LEAST_SUPPORT, size, reason })
  }
  return out.sort((a, b) => b.support - a.support)
}

function scanned(model: HouseModel, leakKnown: boolean): Departure[] {
  const observer = new Observer(model.prepared, model.held)
  const scan = onsetScanner(observer, model.fitted, model.plan, model.findings.machineStops)
  return PROBES.flatMap(({ kind, probe, size }) => {
    if (kind === 'leak began' && leakKnown) return []
    if (kind === 'drains blocked' && !model.prepared.rainKnown) return []
    const onset = scan(probe)
    const support = onset.score ** 2 / 2 - Math.log(Math.max(1, onset.tried)) - 2
    if (onset.day < 0 || support < LEAST_SUPPORT) return []
    const reason = 'From that day on the space is moister than the fitted house would be in this weather.'
    const at = model.record.startAt + onset.day * DAY_HOURS * HOUR_MS
    return [{ kind, at, support, size: size(onset.size), reason }]
  })
}

function shortCycling(model: HouseModel): Departure | null {
  const starts = model.record.machineStarts ?? null
  if (starts === null) return null
  const days = Math.floor(starts.length / DAY_HOURS)
  let run = 0
  for (let day = 0; day < days; day++) {
    const part = starts.subarray(day * DAY_HOURS, (day + 1) * DAY_HOURS).filter(Number.isFinite)
    const perHour = part.length >= DAY_HOURS / 2 ? part.reduce((a, b) => a + b, 0) / part.length : 0
    run = perHour > MOST_STARTS_PER_H ? run + 1 : 0
    if (run < CYCLING_DAYS) continue
    const at = model.record.startAt + (day - run + 1) * DAY_HOURS * HOUR_MS
    const size = `${perHour.toFixed(1)} starts an hour`
    const reason = `More than ${MOST_STARTS_PER_H} starts an hour for ${CYCLING_DAYS} days wears the compressor.`
    return { kind: 'dehumidifier short cycling', at, support: LEAST_SUPPORT, size, reason }
  }
  return null
}
