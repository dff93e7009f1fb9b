/**
 * When a dehumidifier ran, counted from readings minutes apart: from its power, by its own two levels, or from the
 * saw-tooth of RH, which falls while the machine runs and climbs while it stands.
 *
 * A cycle is seen only with more than two readings in it (sampling theorem), and surely only where run and rest are each
 * longer than the time between readings. What cycles faster folds back and looks slower, never faster than half the rate
 * of the readings: many starts that are counted are real, few prove nothing.
 */

export interface MachineRuns {
  basis: 'power' | 'humidity'
  /** Usual time between two readings. */
  everyMinutes: number
  /** Starts in each hour, and the share of it that the machine ran; NaN where not known. */
  starts: Float64Array
  runShare: Float64Array
}

export interface FastReadings {
  at: Float64Array
  /** W or % RH; NaN where missing. */
  values: Float64Array
  basis: MachineRuns['basis']
}

/** Legs of the saw-tooth shorter than this are noise: six standard deviations of a common sensor (judgement). */
const LEAST_SWING_PCT = 1.5
/** A compressor takes this much more than standby and fan, and at least twice as much (common practice, no source). */
const LEAST_LEVELS_APART_W = 60
const LEVEL_TURNS = 20
/** A longer silence than this many readings ends a leg. */
const LONGEST_GAP_READINGS = 3
const LEAST_HOUR_SHARE = 0.5
const MINUTE_MS = 60_000
const HOUR_MS = 60 * MINUTE_MS

/** Most starts an hour that readings so far apart can show. */
export const mostStartsSeen = (everyMinutes: number): number => 60 / (2 * everyMinutes)

/**
 * Starts and running share by hour.
 *
 * @param readings ascending in time
 * @param startAt, hours the grid, on whole hours
 * @returns null when the power shows no two levels, or there are fewer than two readings
 */
export function countRuns(readings: FastReadings, startAt: number, hours: number): MachineRuns | null {
  const known = Uint8Array.from(readings.values, (v) => (Number.isFinite(v) ? 1 : 0))
  const at = readings.at.filter((_, i) => known[i] === 1)
  const values = readings.values.filter(Number.isFinite)
  const everyMs = usualStep(at)
  if (!(everyMs > 0)) return null
  const longestGapMs = LONGEST_GAP_READINGS * everyMs
  const on = readings.basis === 'power' ? onByPower(values) : onByHumidity(at, values, longestGapMs)
  if (on === null) return null
  const count = new Float64Array(hours)
  const running = new Float64Array(hours)
  const starts = new Float64Array(hours)
  for (let i = 0; i < at.length; i++) {
    const h = Math.floor((at[i]! - startAt) / HOUR_MS)
    if (h < 0 || h >= hours || on[i]! < 0) continue
    count[h]!++
    running[h]! += on[i]!
    if (i > 0 && on[i] === 1 && on[i - 1] === 0 && at[i]! - at[i - 1]! <= longestGapMs) starts[h]!++
  }
  const least = LEAST_HOUR_SHARE * (HOUR_MS / everyMs)
  return {
    basis: readings.basis,
    everyMinutes: everyMs / MINUTE_MS,
    starts: starts.map((n, h) => (count[h]! >= least ? n : Number.NaN)),
    runShare: running.map((n, h) => (count[h]! >= least ? n / count[h]! : Number.NaN)),
  }
}

function usualStep(at: Float64Array): number {
  const steps = at.subarray(1).map((t, i) => t - at[i]!)
  return steps.length === 0 ? Number.NaN : steps.sort()[steps.length >> 1]!
}

/** 1 where the compressor runs. The levels are the means of the two groups that the middle between them parts. */
function onByPower(powerW: Float64Array): Int8Array | null {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]
  for (const w of powerW) [low, high] = [Math.min(low, w), Math.max(high, w)]
  for (let turn = 0; turn < LEVEL_TURNS; turn++) {
    const middle = (low + high) / 2
    const [below, above] = [
      { sum: 0, n: 0 },
      { sum: 0, n: 0 },
    ]
    for (const w of powerW) {
      const side = w < middle ? below : above
      side.sum += w
      side.n++
    }
    if (below.n === 0 || above.n === 0) return null
    low = below.sum / below.n
    high = above.sum / above.n
  }
  if (high - low < LEAST_LEVELS_APART_W || high < 2 * low) return null
  return Int8Array.from(powerW, (w) => (w >= (low + high) / 2 ? 1 : 0))
}

/** 1 on falling legs, 0 on others, -1 where no leg is known yet. */
function onByHumidity(at: Float64Array, rhPct: Float64Array, longestGapMs: number): Int8Array {
  const on = new Int8Array(at.length).fill(-1)
  let leg: 'up' | 'down' | null = null
  let [lowest, highest] = [0, 0]
  for (let i = 0; i < at.length; i++) {
    if (i > 0 && at[i]! - at[i - 1]! > longestGapMs) {
      leg = null
      lowest = highest = i
    }
    const rh = rhPct[i]!
    if (rh > rhPct[highest]!) highest = i
    const lowestBefore = lowest
    if (rh < rhPct[lowest]!) lowest = i
    if (leg !== 'down' && rh <= rhPct[highest]! - LEAST_SWING_PCT) {
      if (leg !== null) on.fill(0, lowest + 1, highest + 1)
      on.fill(1, highest + 1, i + 1)
      leg = 'down'
      lowest = i
    } else if (leg !== 'up' && rh >= rhPct[lowest]! + LEAST_SWING_PCT) {
      on.fill(0, lowest + 1, i + 1)
      leg = 'up'
      highest = i
    } else if (leg === 'down' && lowest === i) {
      on.fill(1, lowestBefore + 1, i + 1)
    } else if (leg !== null) {
      on[i] = 0
    }
  }
  return on
}
