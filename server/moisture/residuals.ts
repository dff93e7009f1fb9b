/**
 * Measured minus modelled, as the fit sees it: the mean of each day, the 24 departures from it, and, where someone
 * metered, the machine's water by day and pin readings of the wood. Departures within a day count little: there the
 * error is structure (wind, mixing), not noise.
 */
import { type Drivers, type Flows, newFlows, type Stretch, simulate } from './balance.ts'
import type { HeldDays } from './held.ts'
import { DAY_HOURS, HOUR_MS } from './input.ts'
import { machineFactor } from './machine.ts'
import type { ModelHouse } from './modelHouse.ts'
import type { Prepared } from './prepare.ts'

const LEAST_DAY_SD_PA = 20
const LEAST_HOUR_SD_PA = 15
/** 24 hourly departures together count as one sixth of a day mean (chosen on made houses). */
const DAYS_PER_HOUR_SET = 6
const HELD_WEIGHT = 0.4
/** Condensate of a day is believed to 15 % plus 0.3 L, a pin reading to 1.5 points (judgement). */
const METER_SHARE = 0.15
const METER_FLOOR_L = 0.3
const PIN_SD_PCT = 1.5
/**
 * A machine that holds on the hardest days is usually sized with room to spare: it then does about 0.45 of what it
 * could, to within a factor of 1.5 (common practice, no source; the only scale where nothing is metered).
 */
const HARD_DAY_DUTY = 0.45
const HARD_DAY_LOG_SD = 0.4

export interface Weights {
  day: number
  hour: number
}

export interface Layout {
  days: number
  /** Day of each row in the hourly part, and its hour. */
  hourRows: Int32Array
  dayRows: Int32Array
  meterRows: { day: number; liters: number; weight: number }[]
  pinRows: { hour: number; woodMcPct: number }[]
  /** Days behind the one row on the machine's duty; empty: no such row. */
  hardDays: number[]
  rows: number
}

export function layoutOf(prepared: Prepared, held: HeldDays): Layout {
  const { hours, record, space } = prepared
  const days = Math.ceil(hours / DAY_HOURS)
  const counts = new Int32Array(days)
  for (let h = 0; h < hours; h++) if (Number.isFinite(space.vaporPressurePa[h]!)) counts[(h / DAY_HOURS) | 0]!++
  const dayRows: number[] = []
  const hourRows: number[] = []
  for (let day = 0; day < days; day++) {
    if (counts[day]! < DAY_HOURS / 2) continue
    dayRows.push(day)
    for (let h = day * DAY_HOURS; h < Math.min(hours, (day + 1) * DAY_HOURS); h++) {
      if (Number.isFinite(space.vaporPressurePa[h]!)) hourRows.push(h)
    }
  }
  const meterRows = record.condensateL === null ? [] : meteredDays(record.condensateL, days)
  const pinRows = (record.woodReadings ?? [])
    .map((r) => ({ hour: Math.floor((r.at - record.startAt) / HOUR_MS), woodMcPct: r.woodMcPct }))
    .filter((r) => r.hour >= 0 && r.hour < hours)
  const hardDays = meterRows.length > 0 ? [] : held.hardDays
  const dutyRows = hardDays.length > 0 ? 1 : 0
  const rows = dayRows.length + hourRows.length + meterRows.length + pinRows.length + dutyRows
  return {
    days,
    hourRows: Int32Array.from(hourRows),
    dayRows: Int32Array.from(dayRows),
    meterRows,
    pinRows,
    hardDays,
    rows,
  }
}

function meteredDays(condensateL: Float64Array, days: number): Layout['meterRows'] {
  const rows: Layout['meterRows'] = []
  for (let day = 0; day < days; day++) {
    const part = condensateL.subarray(day * DAY_HOURS, (day + 1) * DAY_HOURS)
    if (part.length < DAY_HOURS || part.some((liters) => !Number.isFinite(liters))) continue
    const liters = part.reduce((a, b) => a + b, 0)
    // A bucket pump empties in gulps: a day's sum is kept, its hours are not; days in a row share the same error.
    rows.push({ day, liters, weight: 1 / (METER_SHARE * liters + METER_FLOOR_L) / Math.sqrt(7) })
  }
  return rows
}

/** Everything that turns a parameter vector into residuals; its buffers are reused, so one at a time. */
export class Observer {
  readonly layout: Layout
  readonly simulated: Float64Array
  private readonly prepared: Prepared
  private readonly held: HeldDays
  private readonly drivers: Drivers
  private readonly flows: Flows | null

  constructor(prepared: Prepared, held: HeldDays) {
    this.prepared = prepared
    this.held = held
    this.layout = layoutOf(prepared, held)
    this.simulated = new Float64Array(prepared.hours)
    this.drivers = driversOf(prepared, held)
    this.flows =
      this.layout.meterRows.length + this.layout.pinRows.length + this.layout.hardDays.length > 0
        ? newFlows(prepared.hours)
        : null
  }

  private run(house: ModelHouse, theta: Float64Array, stretches: readonly Stretch[]): void {
    if (this.flows !== null) for (const column of Object.values(this.flows)) column.fill(0)
    simulate(this.simulated, this.drivers, house.constants(theta), stretches, this.flows)
  }

  /** Raw residuals (Pa, L, points) of the data for this vector, written to `out`. */
  residuals(out: Float64Array, house: ModelHouse, theta: Float64Array): void {
    this.residualsOf(out, house, theta, house.stretches(theta))
  }

  /** The same for stretches other than the vector's own. */
  residualsOf(out: Float64Array, house: ModelHouse, theta: Float64Array, stretches: readonly Stretch[]): void {
    this.run(house, theta, stretches)
    const { dayRows, hourRows, meterRows, pinRows, hardDays } = this.layout
    const measured = this.prepared.space.vaporPressurePa
    const scale = 1 + house.value(theta, 'bias')
    const first = dayRows.length
    let row = 0
    for (let d = 0; d < dayRows.length; d++) {
      const from = row
      const lastHour = (dayRows[d]! + 1) * DAY_HOURS
      let sum = 0
      while (row < hourRows.length && hourRows[row]! < lastHour) {
        const h = hourRows[row]!
        const r = measured[h]! - this.simulated[h]! * scale
        out[first + row] = r
        sum += r
        row++
      }
      const mean = sum / (row - from)
      out[d] = mean
      for (let k = from; k < row; k++) out[first + k]! -= mean
    }
    let at = first + hourRows.length
    for (const meter of meterRows) {
      let liters = 0
      for (let h = meter.day * DAY_HOURS; h < (meter.day + 1) * DAY_HOURS; h++) liters += this.flows!.machine[h]!
      out[at++] = meter.liters - liters
    }
    if (hardDays.length > 0) out[at++] = this.dutyResidual(stretches)
    for (const pin of pinRows) out[at++] = pin.woodMcPct - 100 * this.flows!.pinDepthMoisture[pin.hour]!
  }

  /** Logarithm of the usual duty on hard days over the modelled one. */
  private dutyResidual(stretches: readonly Stretch[]): number {
    const { climate } = this.prepared
    let [removed, able] = [1e-6, 1e-6]
    for (const day of this.layout.hardDays) {
      const machine = stretches.find((s) => s.fromHour <= day * DAY_HOURS && s.toHour > day * DAY_HOURS)?.machine
      if (!machine) continue
      for (let h = day * DAY_HOURS; h < Math.min(this.prepared.hours, (day + 1) * DAY_HOURS); h++) {
        removed += this.flows!.machine[h]!
        able += machine.ratedKgPerH * machineFactor(climate.tempC[h]!, 100 * machine.setRh)
      }
    }
    return Math.log(HARD_DAY_DUTY) - Math.log(removed / able)
  }

  /** Weights that bring residuals of this size to unit spread, with their day-to-day memory taken into account. */
  weightsFrom(residual: Float64Array): Weights {
    const { dayRows, hourRows } = this.layout
    const days = residual.subarray(0, dayRows.length)
    const daySd = Math.max(LEAST_DAY_SD_PA, rootMeanSquare(days))
    const memory = Math.min(0.93, Math.max(0.2, lagOne(days, dayRows) + 0.05))
    const hourSd = Math.max(
      LEAST_HOUR_SD_PA,
      rootMeanSquare(residual.subarray(dayRows.length, dayRows.length + hourRows.length)),
    )
    return {
      day: 1 / (daySd * Math.sqrt((1 + memory) / (1 - memory))),
      hour: 1 / (hourSd * Math.sqrt(DAY_HOURS * DAYS_PER_HOUR_SET)),
    }
  }

  /** Multiplies raw residuals by their weights, in place. */
  weigh(residual: Float64Array, weights: Weights): void {
    const { dayRows, hourRows, meterRows, pinRows, hardDays } = this.layout
    const { held } = this.held
    for (let d = 0; d < dayRows.length; d++) residual[d]! *= weights.day * (held[dayRows[d]!] === 1 ? HELD_WEIGHT : 1)
    const first = dayRows.length
    for (let k = 0; k < hourRows.length; k++) {
      residual[first + k]! *= weights.hour * (held[(hourRows[k]! / DAY_HOURS) | 0] === 1 ? HELD_WEIGHT : 1)
    }
    let at = first + hourRows.length
    for (const meter of meterRows) residual[at++]! *= meter.weight
    if (hardDays.length > 0) residual[at++]! /= HARD_DAY_LOG_SD
    for (let k = 0; k < pinRows.length; k++) residual[at++]! /= PIN_SD_PCT * Math.sqrt(Math.min(pinRows.length, 4))
  }
}

export function driversOf(prepared: Prepared, held: HeldDays | null): Drivers {
  const { hours, climate, outdoorPa, housePa, rainMm } = prepared
  return { hours, climate, outdoorPa, housePa, rainMm, machineIdle: held?.idleHours ?? null }
}

function rootMeanSquare(values: Float64Array): number {
  let sum = 0
  for (const v of values) sum += v * v
  return values.length === 0 ? 0 : Math.sqrt(sum / values.length)
}

/** Correlation of a day's residual with the next day's, over neighbours without a gap between. */
function lagOne(values: Float64Array, dayRows: Int32Array): number {
  let mean = 0
  for (const v of values) mean += v / values.length
  let [cross, own] = [0, 0]
  for (let d = 0; d < values.length; d++) {
    own += (values[d]! - mean) ** 2
    if (d > 0 && dayRows[d]! === dayRows[d - 1]! + 1) cross += (values[d]! - mean) * (values[d - 1]! - mean)
  }
  return own > 0 ? cross / own : 0
}
