/**
 * What wood and mold make of the air: estimated moisture of framing, mold index as a band, the 30-day surface criterion,
 * and how long lines were crossed. RH at a surface is made from vapor pressure and the surface's temperature.
 */
import { rhPctFromVaporPressureInto } from '../physics/airColumns.ts'
import { MOLD_CLASSES, type MoldClass, moldIndexInto } from '../physics/mold.ts'
import { equilibriumMoisturePctInto } from '../physics/wood.ts'
import { type Joist, joistStep, meanMoisturePct, stepJoist, TWO_INCH_JOIST } from '../physics/woodLag.ts'
import { HOUR_MS } from './input.ts'
import { type DayLimits, isComplete, knownHours, type LocalDay, meanOver, type ObservedSpot } from './observed.ts'

export interface RiskLimits extends DayLimits {
  /** Half width of the estimate once it is settled or was reset to pins [points]. */
  woodBandPoints: number
  /** Half width while the start or a long gap still shows [points]. */
  woodFirstBandPoints: number
  /** How long the start or a long gap shows [days]. */
  woodSettlingDays: number
  /** A gap from this length on is long [days]; no estimate is given within it. */
  woodLongGapDays: number
  moldClass: MoldClass
  /** How fast a mold index fades in dry spells, 0 to 1. */
  moldDecline: number
  /** An unmeasured surface may be this much colder than the air [K]. */
  surfaceColderK: number
  surfaceMeanDays: number
  surfaceMinCompleteDays: number
}

/** RH [%] over water at a surface that is `colderK` below the air, or measured where it was; at most 100. */
export function surfaceRhByHour(spot: ObservedSpot, colderK: number): { tempC: Float64Array; rhPct: Float64Array } {
  const tempC = spot.tempC.map((air, h) => {
    const measured = spot.surfaceTempC?.[h] ?? Number.NaN
    return Number.isNaN(measured) ? air - colderK : measured
  })
  const rhPct = rhPctFromVaporPressureInto(new Float64Array(tempC.length), tempC, spot.vaporPressurePa)
  for (let h = 0; h < rhPct.length; h++) if (rhPct[h]! > 100) rhPct[h] = 100 // water there, and RH says no more
  return { tempC, rhPct }
}

export interface PinReading {
  at: number
  /** Corrected for species and temperature [%]. */
  woodMcPct: number
}

export interface WoodEstimate {
  /** Mean moisture of the framing [%], NaN before the first reading and inside long gaps. */
  midPct: Float64Array
  lowPct: Float64Array
  highPct: Float64Array
  /** Hours in which the spot's own pins logged it. */
  measuredHours: number
  missingHours: number
  /** When it was set to pins by hand; empty: it never was, and rests on the air alone. */
  resetAt: readonly number[]
}

/**
 * Moisture of a joist in this air, by the two-node lag of physics/woodLag. A pin reading sets both nodes, because pins
 * about 8 mm deep read between them. Holds for bound water: wood that got wet by liquid is wetter than this.
 *
 * @param pins readings by hand at this spot, any order
 */
export function woodMoisture(
  spot: ObservedSpot,
  startAt: number,
  pins: readonly PinReading[],
  limits: RiskLimits,
  joist: Joist = TWO_INCH_JOIST,
): WoodEstimate {
  const hours = spot.tempC.length
  const { tempC, rhPct } = surfaceRhByHour({ ...spot, surfaceTempC: undefined }, 0)
  const equilibrium = equilibriumMoisturePctInto(new Float64Array(hours), tempC, rhPct)
  const reset = new Float64Array(hours).fill(Number.NaN)
  const resetAt: number[] = []
  for (const pin of [...pins].sort((a, b) => a.at - b.at)) {
    const h = Math.floor((pin.at - startAt) / HOUR_MS)
    if (h >= hours || pin.at < startAt - limits.woodLongGapDays * 24 * HOUR_MS) continue
    reset[Math.max(0, h)] = pin.woodMcPct
    resetAt.push(pin.at)
  }
  const [midPct, lowPct, highPct] = [0, 0, 0].map(() => new Float64Array(hours).fill(Number.NaN)) as [
    Float64Array,
    Float64Array,
    Float64Array,
  ]
  const step = joistStep(1, joist)
  const settling = limits.woodSettlingDays * 24
  const longGap = limits.woodLongGapDays * 24
  let state = { surfacePct: Number.NaN, corePct: Number.NaN }
  let guessHours = settling
  let [gap, missingHours, measuredHours] = [0, 0, 0]
  for (let h = 0; h < hours; h++) {
    const logged = spot.woodMcPct?.[h] ?? Number.NaN
    const set = Number.isNaN(logged) ? reset[h]! : logged
    if (!Number.isNaN(logged)) measuredHours++
    if (!Number.isNaN(set)) {
      state = { surfacePct: set, corePct: set }
      guessHours = 0
      gap = 0
    } else if (Number.isNaN(equilibrium[h]!)) {
      missingHours++
      if (++gap >= longGap) guessHours = settling
    } else {
      gap = 0
      if (Number.isNaN(state.corePct)) state = { surfacePct: equilibrium[h]!, corePct: equilibrium[h]! }
      state = stepJoist(state, equilibrium[h]!, step)
      if (guessHours > 0) guessHours--
    }
    if (gap >= longGap || Number.isNaN(state.corePct)) continue
    const mid = meanMoisturePct(state)
    const band = guessHours > 0 ? limits.woodFirstBandPoints : limits.woodBandPoints
    midPct[h] = mid
    lowPct[h] = Math.max(0, mid - band)
    highPct[h] = mid + band
  }
  return { midPct, lowPct, highPct, measuredHours, missingHours, resetAt }
}

export interface MoldBand {
  /** Index after each hour at a surface as warm as the air, and at one `surfaceColderK` below it. */
  low: Float64Array
  high: Float64Array
  now: { low: number; high: number }
  max: { low: number; high: number }
  /** First hour of the grid at which an index of 1 (microscope) and 3 (eye) is reached; null: never. */
  reached1: { low: number | null; high: number | null }
  reached3: { low: number | null; high: number | null }
  /** Hours without data; the index was held in them, so a gap in the wet season reads low. */
  missingHours: number
  /** Hours in which the surface itself was measured: both ends use it there. */
  measuredSurfaceHours: number
}

/**
 * Mold growth index through the record, from 0 at its start: what this record's air grows, not what was there before.
 */
export function moldBand(spot: ObservedSpot, limits: RiskLimits): MoldBand {
  const material = MOLD_CLASSES[limits.moldClass]
  const along = (colderK: number) => {
    const { tempC, rhPct } = surfaceRhByHour(spot, colderK)
    const index = new Float64Array(tempC.length)
    moldIndexInto(index, tempC, rhPct, 1, { material, declineCoefficient: limits.moldDecline })
    return { index, missing: tempC.length - knownHours(rhPct, 0, rhPct.length) }
  }
  const warm = along(0)
  const cold = along(limits.surfaceColderK)
  const both = <T>(of: (index: Float64Array) => T) => ({ low: of(warm.index), high: of(cold.index) })
  const first = (line: number) => (index: Float64Array) => {
    const h = index.findIndex((value) => value >= line)
    return h < 0 ? null : h
  }
  return {
    low: warm.index,
    high: cold.index,
    now: both((index) => index.at(-1) ?? 0),
    max: both((index) => index.reduce((most, value) => Math.max(most, value), 0)),
    reached1: both(first(1)),
    reached3: both(first(3)),
    missingHours: warm.missing,
    measuredSurfaceHours: spot.surfaceTempC ? knownHours(spot.surfaceTempC, 0, spot.surfaceTempC.length) : 0,
  }
}

export type ThirtyDay =
  | {
      kind: 'known'
      completeDays: number
      /** Mean RH at a surface as warm as the air and at a colder one; equal where the surface was measured. */
      rhPct: { low: number; high: number }
      tempC: number
      /** The line counts only at temperatures at which mold grows well (5 to 40 °C, ASHRAE 160-2009). */
      warmEnough: boolean
    }
  | { kind: 'cannot tell'; completeDays: number; reason: string }

const GROWTH_TEMP_C = [5, 40] as const

/** For each local day the mean over it and the days before, 30 in all, of which 20 must be complete. */
export function thirtyDaySurface(spot: ObservedSpot, days: readonly LocalDay[], limits: RiskLimits): ThirtyDay[] {
  const warm = surfaceRhByHour(spot, 0)
  const cold = surfaceRhByHour(spot, limits.surfaceColderK)
  const complete = days.map((day) => isComplete(knownHours(warm.rhPct, day.from, day.to), day, limits))
  return days.map((_, d) => {
    const first = Math.max(0, d - limits.surfaceMeanDays + 1)
    const used = days.slice(first, d + 1).filter((_, k) => complete[first + k])
    if (used.length < limits.surfaceMinCompleteDays) {
      const reason = `${used.length} of the last ${limits.surfaceMeanDays} days are complete; ${limits.surfaceMinCompleteDays} are needed.`
      return { kind: 'cannot tell', completeDays: used.length, reason }
    }
    const mean = (values: Float64Array) =>
      used.reduce((sum, day) => sum + meanOver(values, day.from, day.to), 0) / used.length
    const tempC = mean(warm.tempC)
    return {
      kind: 'known',
      completeDays: used.length,
      rhPct: { low: mean(warm.rhPct), high: mean(cold.rhPct) },
      tempC,
      warmEnough: tempC >= GROWTH_TEMP_C[0] && tempC <= GROWTH_TEMP_C[1],
    }
  })
}

export interface LineCrossed {
  linePct: number
  /** Days' worth of known hours above the line: surely (low end of the band) and by the estimate. */
  sureDays: number
  days: number
  /** Longest unbroken run by the estimate, and the run that still lasts at the end [days]; a gap breaks a run. */
  longestDays: number
  lastsDays: number
}

/** How long estimated wood moisture stood above a line. */
export function woodAboveLine(wood: WoodEstimate, linePct: number): LineCrossed {
  let [sure, above, run, longest] = [0, 0, 0, 0]
  for (let h = 0; h < wood.midPct.length; h++) {
    if (wood.lowPct[h]! > linePct) sure++
    if (wood.midPct[h]! > linePct) {
      above++
      run++
      if (run > longest) longest = run
    } else run = 0
  }
  return { linePct, sureDays: sure / 24, days: above / 24, longestDays: longest / 24, lastsDays: run / 24 }
}

export interface WatchLineLimits {
  woodFastenerPct: number
  woodDecayWatchPct: number
  woodDecayWatchDays: number
  woodDecayActPct: number
}

export interface WoodWatch {
  harm: 'decay' | 'fastener corrosion'
  state: 'act' | 'watch' | 'clear' | 'cannot tell'
  crossed: LineCrossed
  sentence: string
}

/** The decay and fastener lines with their durations (trade practice; proposals). */
export function woodWatchLines(wood: WoodEstimate, limits: WatchLineLimits): WoodWatch[] {
  const known = knownHours(wood.midPct, 0, wood.midPct.length)
  const act = woodAboveLine(wood, limits.woodDecayActPct)
  const decay = woodAboveLine(wood, limits.woodDecayWatchPct)
  const fastener = woodAboveLine(wood, limits.woodFastenerPct)
  const unknown = known === 0
  const text = (line: LineCrossed) =>
    `above ${line.linePct} % for ${line.days.toFixed(0)} days in all, ${line.longestDays.toFixed(0)} at a stretch (surely ${line.sureDays.toFixed(0)} days)`
  // An estimate from the air alone makes nobody act until even its low end is over the line.
  const pinned = wood.measuredHours > 0 || wood.resetAt.length > 0
  const mustAct = act.sureDays > 0 || (act.days > 0 && pinned)
  const decayState = mustAct
    ? 'act'
    : act.days > 0 || decay.longestDays >= limits.woodDecayWatchDays
      ? 'watch'
      : 'clear'
  const watch = (harm: WoodWatch['harm'], state: WoodWatch['state'], crossed: LineCrossed): WoodWatch => ({
    harm,
    state: unknown ? 'cannot tell' : state,
    crossed,
    sentence: unknown
      ? 'No estimate of wood moisture: temperature and RH are not known here.'
      : `Estimated wood moisture ${text(crossed)}.`,
  })
  return [
    watch('decay', decayState, decayState === 'act' ? act : decay),
    watch('fastener corrosion', fastener.days > 0 ? 'watch' : 'clear', fastener),
  ]
}
