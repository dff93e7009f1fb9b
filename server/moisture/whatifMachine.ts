/** What a dehumidifier does in a simulated run: hours it runs, water it takes out, electricity it uses. */
import {
  capacityLPerDay,
  energyFactorFactor,
  minimumIefPortable,
  RATING_BASES_C,
  RATING_RH_PCT,
} from '../physics/dehumidifier.ts'
import type { RunningMachine } from './balance.ts'
import type { HouseModel } from './house.ts'
import { machineFactor } from './machine.ts'
import type { FullRun } from './timber.ts'

export interface Efficiency {
  litersPerKwh: number
  /** Spread of its logarithm. */
  logSd: number
  /** Whether it is of the label's test (65 °F / 60 %) and must be moved to the air, or of this house's own air. */
  ofLabel: boolean
  /** Sentence for what was assumed; null when measured or said. */
  assumed: string | null
}

export interface MachineUse {
  runningHours: number
  liters: number
  kwh: number
}

/** Least water and electricity by which a metered efficiency is believed (judgement). */
const METERED_LEAST_L = 20
const METERED_LEAST_KWH = 10
const METERED_LOG_SD = 0.1
/** Units on the market carry 1.3 to 3 L/kWh (judgement). */
const ASSUMED_LOG_SD = 0.25
/** Neither curve knows frost; below this share of the label's efficiency it is not followed (judgement). */
const LEAST_EFFICIENCY = 0.3
const LABEL = { tempC: RATING_BASES_C['65 °F'], rhPct: RATING_RH_PCT }
const AT_LABEL = energyFactorFactor(LABEL.tempC, LABEL.rhPct)

/**
 * Efficiency of a machine: as said, else as metered in this house, else the least that may be sold.
 *
 * @param saidLPerKwh of the label [L/kWh], above 0
 * @param isTheHouses whether it is the machine that was metered
 */
export function efficiencyOf(
  model: HouseModel,
  machine: RunningMachine,
  saidLPerKwh: number | null,
  isTheHouses: boolean,
): Efficiency {
  if (saidLPerKwh !== null) {
    return { litersPerKwh: saidLPerKwh, logSd: METERED_LOG_SD, ofLabel: true, assumed: null }
  }
  const metered = isTheHouses ? meteredLPerKwh(model) : null
  if (metered !== null) return { litersPerKwh: metered, logSd: METERED_LOG_SD, ofLabel: false, assumed: null }
  const rating = { ratedLPerDay: machine.ratedKgPerH * 24, basis: '80 °F' as const }
  const litersPerKwh = minimumIefPortable(capacityLPerDay(rating, LABEL.tempC, LABEL.rhPct))
  const assumed = `Efficiency of the dehumidifier not recorded: ${litersPerKwh} L/kWh at 65 °F / 60 % RH, the least a portable unit of its size may be sold with in the US since 2019.`
  return { litersPerKwh, logSd: ASSUMED_LOG_SD, ofLabel: true, assumed }
}

function meteredLPerKwh({ record }: HouseModel): number | null {
  const { condensateL, powerW } = record
  if (condensateL === null || powerW === null) return null
  let [liters, kwh] = [0, 0]
  for (let h = 0; h < record.hours; h++) {
    if (!Number.isFinite(condensateL[h]!) || !Number.isFinite(powerW[h]!)) continue
    liters += condensateL[h]!
    kwh += powerW[h]! / 1000
  }
  return liters >= METERED_LEAST_L && kwh >= METERED_LEAST_KWH ? liters / kwh : null
}

/**
 * What the machine did over the run. It runs in an hour for the share of its capacity that was taken out; its
 * electricity is water over efficiency in that hour's air.
 */
export function useOf(run: FullRun, machine: RunningMachine, { litersPerKwh, ofLabel }: Efficiency): MachineUse {
  const { tempC, saturationPa } = run.climate
  const use: MachineUse = { runningHours: 0, liters: 0, kwh: 0 }
  for (let h = 0; h < run.machine.length; h++) {
    const kg = run.machine[h]!
    if (kg <= 0) continue
    const air = tempC[h]!
    // The balance takes capacity at the vapor pressure the hour began with.
    const rhPct = Math.min(100, (100 * run.vaporPressurePa[Math.max(0, h - 1)]!) / saturationPa[h]!)
    use.liters += kg
    use.runningHours += Math.min(1, kg / (machine.ratedKgPerH * machineFactor(air, rhPct)))
    use.kwh += kg / (litersPerKwh * (ofLabel ? efficiencyShare(air, rhPct) : 1))
  }
  return use
}

function efficiencyShare(tempC: number, rhPct: number): number {
  const inRange = Math.max(-10, Math.min(45, tempC))
  return Math.max(LEAST_EFFICIENCY, energyFactorFactor(inRange, rhPct) / AT_LABEL)
}
