/**
 * The running time of a dehumidifier as a meter of a kind: the share of a day that it ran, times what it takes out at
 * that air. Its scale is the rating's, known to a fifth or a half, so it tells when more was taken out than before, not
 * how much.
 */
import { dayMean } from './held.ts'
import { DAY_HOURS, type HouseRecord } from './input.ts'
import { machineFactor } from './machine.ts'
import type { Prepared } from './prepare.ts'
import type { WorkPlan } from './works.ts'

const LEAST_DAYS = 30
/** A machine that runs and stands shows both in a month; hours of mean power between the two are parts of an hour run. */
const ON_QUANTILE = 0.98
const LEAST_ON_W = 100
/** RH tells legs apart only while the machine cycles: with fewer starts a day it runs flat out or stands. */
const LEAST_STARTS = 4

/** Share of each day that the machine ran; null when nothing shows it for a month. */
export function ranDaily({ powerW, machineRuns, hours }: HouseRecord): Float64Array | null {
  const days = Math.floor(hours / DAY_HOURS)
  const byHour = shareByHour(powerW, machineRuns)
  if (byHour === null) return null
  const share = new Float64Array(days).map((_, day) => {
    const mean = dayMean(day, hours, (h) => byHour[h]!)
    if (machineRuns?.basis !== 'humidity') return mean
    let starts = 0
    for (let h = day * DAY_HOURS; h < (day + 1) * DAY_HOURS; h++) starts += machineRuns.starts[h] || 0
    return starts >= LEAST_STARTS ? mean : Number.NaN
  })
  return share.filter(Number.isFinite).length >= LEAST_DAYS ? share : null
}

function shareByHour(powerW: Float64Array | null, runs: HouseRecord['machineRuns']): Float64Array | null {
  const known = powerW?.filter(Number.isFinite).sort() ?? new Float64Array(0)
  if (powerW === null || known.length < LEAST_DAYS * DAY_HOURS) return runs?.runShare ?? null
  const onW = known[Math.floor(ON_QUANTILE * known.length)]!
  if (onW < LEAST_ON_W) return null
  return powerW.map((w) => Math.min(1, w / onW))
}

/** Liters by hour that the running share stands for, spread evenly over each day; null when nothing shows it. */
export function runMeterL(prepared: Prepared, plan: WorkPlan): Float64Array | null {
  const share = ranDaily(prepared.record)
  if (share === null) return null
  const { tempC, saturationPa } = prepared.climate
  const { vaporPressurePa } = prepared.space
  const liters = new Float64Array(prepared.hours).fill(Number.NaN)
  for (let h = 0; h < share.length * DAY_HOURS; h++) {
    const ran = share[(h / DAY_HOURS) | 0]!
    const span = plan.machines.findLast((m) => h >= m.fromHour && h < m.toHour)
    if (!span || !Number.isFinite(ran)) continue
    const rh = vaporPressurePa[h]! / saturationPa[h]!
    const rhPct = 100 * (Number.isFinite(rh) ? rh : span.machine.setRh)
    liters[h] = ran * span.machine.ratedKgPerH * machineFactor(tempC[h]!, rhPct)
  }
  return liters
}
