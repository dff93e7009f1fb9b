/**
 * Days on which a dehumidifier holds its set point. There the humidity says little about the sources, because the
 * machine levels everything; two facts remain: whether it idled, and what a meter counted.
 */
import { DAY_HOURS } from './input.ts'
import type { Prepared } from './prepare.ts'
import type { WorkPlan } from './works.ts'

const HELD_ABOVE_SET_RH = 0.045
/**
 * An idle machine makes no saw-tooth: steps below this share of their middle on held days, two days running. Nor does
 * one that runs flat out, so outdoor air must be the drier one and RH not above its usual level (points).
 */
const IDLE_STEP_SHARE = 0.4
const IDLE_ABOVE_USUAL_RH = 0.01
const IDLE_POWER_SHARE = 0.15

export interface HeldDays {
  /** 1 where a machine holds, by day from the start of the record. */
  held: Uint8Array
  /** 1 in hours in which the machine was seen to be idle; null when nothing shows it. */
  idleHours: Uint8Array | null
  /** Held days with the moistest outdoor air; empty where they are few or the machine did not hold on most such days. */
  hardDays: number[]
}

/** Share of the days with a machine that count as hard, and how many of these must be held to say anything. */
const HARD_SHARE = 0.15
const HELD_SHARE = 0.6
const LEAST_HARD_DAYS = 5

export function findHeldDays(prepared: Prepared, plan: WorkPlan): HeldDays {
  const days = Math.ceil(prepared.hours / DAY_HOURS)
  const held = new Uint8Array(days)
  const steps = new Float64Array(days).fill(Number.NaN)
  const level = new Float64Array(days).fill(Number.NaN)
  const dries = new Uint8Array(days)
  for (let day = 0; day < days; day++) {
    const from = day * DAY_HOURS
    const span = plan.machines.find((m) => from >= m.fromHour && from < m.toHour)
    const rh = dayMean(
      day,
      prepared.hours,
      (h) => prepared.space.vaporPressurePa[h]! / prepared.climate.saturationPa[h]!,
    )
    const stepSquare = dayMean(day, prepared.hours, (h) => prepared.space.rhStepPct[h]! ** 2)
    steps[day] = Math.sqrt(stepSquare)
    level[day] = rh
    const excess = dayMean(day, prepared.hours, (h) => prepared.space.vaporPressurePa[h]! - prepared.outdoorPa[h]!)
    if (excess > 0) dries[day] = 1
    if (span && rh < span.machine.setRh + HELD_ABOVE_SET_RH) held[day] = 1
  }
  const usual = steps.filter((step, day) => held[day] === 1 && Number.isFinite(step)).sort()
  const hardDays = findHardDays(prepared, plan, held)
  const metered = idleByPower(prepared.record.powerW)
  if (metered !== null) {
    for (let day = 0; day < days; day++) {
      if (dayMean(day, prepared.hours, (h) => metered[h]!) === 1) held[day] = 0
    }
    return { held, idleHours: metered, hardDays }
  }
  if (usual.length < 7) return { held, idleHours: null, hardDays }
  const limit = IDLE_STEP_SHARE * usual[usual.length >> 1]!
  const levels = level.filter((_, day) => held[day] === 1).sort()
  const highest = levels[levels.length >> 1]! + IDLE_ABOVE_USUAL_RH
  const wasHeld = Uint8Array.from(held)
  const quiet = (day: number) => wasHeld[day] === 1 && dries[day] === 1 && steps[day]! < limit && level[day]! <= highest
  const idleHours = new Uint8Array(prepared.hours)
  const idle: number[] = []
  for (let day = 0; day < days; day++) {
    if (!quiet(day) || !((day > 0 && quiet(day - 1)) || (day + 1 < days && quiet(day + 1)))) continue
    idle.push(day)
    idleHours.fill(1, day * DAY_HOURS, Math.min(prepared.hours, (day + 1) * DAY_HOURS))
  }
  // The balance runs free on idle days, so they count like any other day.
  for (const day of idle) held[day] = 0
  return { held, idleHours: idleHours.includes(1) ? idleHours : null, hardDays }
}

/** Hours without compressor by the power meter: below 15 % of its usual draw (a fan alone takes less); null without one. */
function idleByPower(powerW: Float64Array | null): Uint8Array | null {
  const known = powerW?.filter(Number.isFinite).sort() ?? new Float64Array(0)
  if (powerW === null || known.length < 7 * DAY_HOURS) return null
  const limit = IDLE_POWER_SHARE * known[Math.floor(0.95 * known.length)]!
  return Uint8Array.from(powerW, (w) => (w < limit ? 1 : 0))
}

function findHardDays(prepared: Prepared, plan: WorkPlan, held: Uint8Array): number[] {
  const days: { day: number; outdoorPa: number }[] = []
  for (let day = 0; day < held.length; day++) {
    const hour = day * DAY_HOURS
    if (!plan.machines.some((m) => hour >= m.fromHour && hour + DAY_HOURS <= m.toHour)) continue
    days.push({ day, outdoorPa: dayMean(day, prepared.hours, (h) => prepared.outdoorPa[h]!) })
  }
  const hard = days
    .sort((a, b) => b.outdoorPa - a.outdoorPa)
    .slice(0, Math.round(HARD_SHARE * days.length))
    .map((d) => d.day)
  const heldOnes = hard.filter((day) => held[day] === 1)
  return heldOnes.length >= Math.max(LEAST_HARD_DAYS, HELD_SHARE * hard.length) ? heldOnes : []
}

/** Mean of the finite values of one day; NaN with fewer than half of them. */
export function dayMean(day: number, hours: number, value: (h: number) => number): number {
  let [sum, n] = [0, 0]
  const to = Math.min(hours, (day + 1) * DAY_HOURS)
  for (let h = day * DAY_HOURS; h < to; h++) {
    const v = value(h)
    if (!Number.isFinite(v)) continue
    sum += v
    n++
  }
  return n >= DAY_HOURS / 2 ? sum / n : Number.NaN
}
