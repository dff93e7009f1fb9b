import { saturationPa } from './air.ts'
import { randomStream } from './random.ts'
import type { FaultSpec, ProbeSpec } from './spec.ts'
import type { WallClock } from './wallTime.ts'

/** What a probe delivered: `at` is the time the box printed (as an instant), in the order the box wrote. */
export interface ProbeReadings {
  at: Float64Array
  tempC: Float64Array
  rhPct: Float64Array
  /** NaN where the box has no battery column. */
  batteryV: Float64Array
}

/** True air at a probe, at even steps. */
export interface TrueAir {
  startMs: number
  stepMs: number
  tempC: Float64Array
  vaporPressurePa: Float64Array
  solarWM2?: (at: number) => number
}

const DAY_MS = 86_400_000

/**
 * Readings of one probe: lag, creep after wetting, offset, noise, the step of the display, and the faults of the spec.
 * The random numbers depend on the probe's key only.
 */
export function readProbe(
  probe: ProbeSpec,
  air: TrueAir,
  fromMs: number,
  toMs: number,
  clock: WallClock,
  seed: number,
): ProbeReadings {
  const random = randomStream(seed, `probe ${probe.key}`)
  const faults = probe.faults.map((fault) => ({
    fault,
    from: clock.instantOf(fault.from),
    to: clock.instantOf(fault.to),
  }))
  const active = (kind: FaultSpec['kind'], at: number) =>
    faults.find((f) => f.fault.kind === kind && at >= f.from && at < f.to)
  const newBattery = faults.filter((f) => f.fault.kind === 'dying battery').map((f) => f.to)
  const every = Math.round((probe.intervalMinutes * 60_000) / air.stepMs)
  const first = Math.round((fromMs - air.startMs) / air.stepMs)
  const last = Math.min(air.tempC.length, Math.round((toMs - air.startMs) / air.stepMs))
  const follow = 1 - Math.exp(-air.stepMs / (probe.lagMinutes * 60_000))
  const at: number[] = []
  const tempC: number[] = []
  const rhPct: number[] = []
  const batteryV: number[] = []
  let feltC = air.tempC[Math.max(0, first - 1)]!
  let feltRh = (100 * air.vaporPressurePa[Math.max(0, first - 1)]!) / saturationPa(feltC)
  let wetted = 0
  let stuck: { tempC: number; rhPct: number } | null = null
  for (let i = first; i < last; i++) {
    const now = air.startMs + i * air.stepMs
    const sunC = air.solarWM2 === undefined ? 0 : 0.0011 * air.solarWM2(now)
    const trueC = air.tempC[i]! + sunC
    const trueRh = Math.min(100, (100 * air.vaporPressurePa[i]!) / saturationPa(trueC))
    feltC += follow * (trueC - feltC)
    feltRh += follow * (trueRh - feltRh)
    // Wetting builds up over days near saturation and leaves over days below it.
    wetted += (air.stepMs / (3 * DAY_MS)) * ((feltRh > 93 ? 1 : 0) - wetted)
    if ((i - first) % every !== 0) continue
    // Drawn whether or not the reading is lost, so that a fault changes only its own readings.
    const noiseC = random.normal(0, probe.noiseC)
    const noiseRh = random.normal(0, probe.noiseRhPct)
    const luck = random.uniform()
    const dying = active('dying battery', now)
    if (active('gap', now) !== undefined) continue
    if (dying !== undefined) {
      const gone = (now - dying.from) / (dying.to - dying.from)
      if (gone > 0.6 || luck < gone ** 1.5 * 1.6) continue
    }
    const drift = active('rh drift', now)
    const driftRh =
      drift?.fault.kind === 'rh drift' ? (drift.fault.rhPctPerMonth * (now - drift.from)) / (30.4 * DAY_MS) : 0
    let shownC = toStep(feltC + probe.offsetC + noiseC, probe.stepC)
    let shownRh = toStep(
      Math.min(100, Math.max(1, feltRh + probe.offsetRhPct + driftRh + probe.creepRhPct * wetted + noiseRh)),
      probe.stepRhPct,
    )
    if (active('stuck', now) === undefined) stuck = null
    else {
      stuck ??= { tempC: shownC, rhPct: shownRh }
      shownC = stuck.tempC
      shownRh = stuck.rhPct
    }
    const swapped = active('unit swap', now) !== undefined
    const shift = active('clock shift', now)
    at.push(now + (shift?.fault.kind === 'clock shift' ? shift.fault.minutes * 60_000 : 0))
    tempC.push(swapped ? toStep(shownC * 1.8 + 32, probe.stepC) : shownC)
    rhPct.push(shownRh)
    batteryV.push(batteryAt(probe, now, fromMs, newBattery, dying))
  }
  return {
    at: Float64Array.from(at),
    tempC: Float64Array.from(tempC),
    rhPct: Float64Array.from(rhPct),
    batteryV: Float64Array.from(batteryV),
  }
}

/** Slow fall from fresh, and the last slide when the cell is dying. */
function batteryAt(
  probe: ProbeSpec,
  now: number,
  fromMs: number,
  newBattery: readonly number[],
  dying: { from: number; to: number } | undefined,
): number {
  if (probe.batteryV === undefined) return Number.NaN
  const since = newBattery.reduce((latest, at) => (at <= now && at > latest ? at : latest), fromMs)
  const plain = probe.batteryV.fresh - (probe.batteryV.voltsPerDay * (now - since)) / DAY_MS
  const slide = dying === undefined ? 0 : (0.45 * (now - dying.from)) / (dying.to - dying.from)
  return toStep(plain - slide, 0.01)
}

const toStep = (value: number, step: number) => Math.round(Math.round(value / step) * step * 1e6) / 1e6
