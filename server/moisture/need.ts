/**
 * How much water a dehumidifier would have to take out on a bad day: the last state of the house over the whole record,
 * held at the target by a machine of unlimited capacity.
 */
import type { Drivers, Stretch } from './balance.ts'
import { coversHumidSeason } from './circumstances.ts'
import { type Draw, drawHouses, type HouseModel, shifted } from './house.ts'
import { DAY_HOURS, type Estimate } from './input.ts'
import { warmedByMachine } from './machineHeat.ts'
import { aroundLog, meanAndSd, median } from './numbers.ts'
import { driversOf } from './residuals.ts'
import { temperatureToLastState } from './temperature.ts'
import { type FullRun, runFully } from './timber.ts'

/** Model error of liters that draws do not know of (judgement), in the logarithm; smaller where water was metered. */
const MODEL_LOG_SD = 0.15
const METERED_LOG_SD = 0.08
/** The day exceeded on 5 % of the days of a year. */
const DAYS_ABOVE = 18
const DRAWS = 40

export type Need =
  | {
      lPerDay: Estimate
      meanLPerDay: Estimate
      /** Air of the ten hardest days, for moving a rating to it. */
      hardDays: { tempC: number; rhPct: number }
      basis: string
      scale: string
    }
  | { cannotTell: string; needs: string }

/** Why the record's weather cannot tell the need; null when it can. */
export function hardDaysUnseen(model: HouseModel): Extract<Need, { cannotTell: string }> | null {
  if (coversHumidSeason(model)) return null
  return {
    cannotTell: 'The record holds fewer than 45 days of the humid season, so the hardest days were not seen.',
    needs: 'readings through June to September (south: December to March)',
  }
}

export function findNeed(model: HouseModel): Need {
  const unseen = hardDaysUnseen(model)
  if (unseen !== null) return unseen
  const rh = model.record.targetRhPct / 100
  const runs = drawHouses(model, model.fitted, DRAWS).map((draw) => {
    const drivers = lastStateDrivers(model, draw)
    const last = draw.house.propertiesAt(draw.theta, model.prepared.hours - 1)
    return heldRun(holdAt(model, draw, drivers, last, rh))
  })
  return needFrom(runs, model.record.targetRhPct, model.record.condensateL !== null)
}

/** The record's weather at the temperature of the last works and machine. */
export function lastStateDrivers(model: HouseModel, draw: Draw): Drivers {
  const drivers = driversOf(model.prepared, null)
  const change = temperatureToLastState(model.warmth, draw.warmth)
  if (change === null) return drivers
  return {
    ...drivers,
    climate: shifted(
      model.prepared,
      change.map((v) => -v),
    ),
  }
}

/**
 * Runs one house with an ideal machine, its wood in balance with the target from the start. The machine's heat stays in
 * the space, unless the house has one already, whose warmth the temperature knows.
 *
 * @param year weather other than the record's
 */
export function holdAt(
  model: HouseModel,
  draw: Draw,
  drivers: Drivers,
  properties: Omit<Stretch, 'fromHour' | 'toHour'>,
  setRh: number,
  year: { tempC: Float64Array; startAt: number } | null = null,
): FullRun {
  const outdoor = year ?? { tempC: model.prepared.outdoorTempC, startAt: model.record.startAt }
  const warm = properties.machine === null ? warmedByMachine(model, draw, drivers, outdoor, properties, setRh) : drivers
  const machine = { setRh, ratedKgPerH: Number.POSITIVE_INFINITY }
  const stretch = { ...properties, machine, fromHour: 0, toHour: drivers.hours }
  return runFully(draw, warm, [stretch], drivers.hours, setRh)
}

/** What the need asks of a run; the run itself may then be forgotten. */
export interface HeldRun {
  dailyL: number[]
  noonTempC: number[]
}

export function heldRun(run: FullRun): HeldRun {
  const dailyL = dailyLiters(run.machine)
  return { dailyL, noonTempC: dailyL.map((_, day) => run.climate.tempC[day * DAY_HOURS + 12]!) }
}

/** The day exceeded on 5 % of the days of a year. */
export function hardDayL(dailyL: readonly number[]): number {
  const days = dailyL.length
  const rank = days >= 365 ? Math.round(0.05 * days) : DAYS_ABOVE
  return [...dailyL].sort((a, b) => b - a)[Math.min(rank, days) - 1]!
}

export function needFrom(runs: readonly HeldRun[], targetRhPct: number, metered: boolean): Need {
  const daily = runs.map((run) => run.dailyL)
  const hard = daily.map(hardDayL)
  const means = daily.map((liters) => meanAndSd(liters).mean)
  const spread = (values: readonly number[]) =>
    Math.hypot(meanAndSd(values.map((v) => Math.log(Math.max(v, 0.05)))).sd, metered ? METERED_LOG_SD : MODEL_LOG_SD)
  const order = daily[0]!.map((liters, day) => ({ liters, day })).sort((a, b) => b.liters - a.liters)
  const hardest = order.slice(0, 10).map((o) => o.day)
  const tempC = meanAndSd(hardest.map((day) => runs[0]!.noonTempC[day]!)).mean
  return {
    lPerDay: aroundLog(median(hard), spread(hard)),
    meanLPerDay: aroundLog(median(means), spread(means)),
    hardDays: { tempC, rhPct: targetRhPct },
    basis: `held at ${targetRhPct} % RH, day exceeded on 5 % of a year's days, the last state of the house`,
    scale: metered ? 'scale from the metered water' : 'scale from assumed air change and framing, nothing metered',
  }
}

export function dailyLiters(kgPerH: Float64Array): number[] {
  return Array.from({ length: Math.floor(kgPerH.length / DAY_HOURS) }, (_, day) => {
    let sum = 0
    for (let h = day * DAY_HOURS; h < (day + 1) * DAY_HOURS; h++) sum += kgPerH[h]!
    return sum
  })
}
