/**
 * How far wood lags behind the air. The exact answer for a slab is Crank's series; for hourly series a joist is two
 * nodes, a surface and a core, whose step response follows that series within 0.017 at every time (tested).
 */
import { assertPositive, assertSameLength, assertWithin } from './check.ts'

const TERMS = 60

/**
 * Share of a moisture change that a slab has completed after both faces jumped to a new moisture.
 *
 * @param fourier D t / L², with L the half thickness; valid 0 to infinity
 * @returns 0 to 1; 0.5 at 0.197 and 0.9 at 0.848. Accurate to 1e-4 from 0.001 on
 * @throws RangeError below 0
 * @see Crank 1975, The Mathematics of Diffusion
 */
export function slabFractionalChange(fourier: number): number {
  assertWithin(fourier, 'fourier', '', [0, Number.POSITIVE_INFINITY])
  // Early on the series needs many terms, and the short-time solution is exact.
  if (fourier < 0.02) return 2 * Math.sqrt(fourier / Math.PI)
  let rest = 0
  for (let n = 0; n < TERMS; n++) {
    const odd = (2 * n + 1) ** 2
    rest += Math.exp((-odd * Math.PI ** 2 * fourier) / 4) / odd
  }
  return 1 - (8 / Math.PI ** 2) * rest
}

export interface Joist {
  /** Thickness of the piece; both faces take part [m]. */
  thicknessM: number
  /** Bound-water diffusivity across the grain [m²/s]. From memory: 1e-10 to 5e-10 for softwood near room temperature. */
  diffusivityM2S: number
}

/** A nominal two-inch joist, 38 mm. It follows half of a change in about 4 days and 90 % in about 18. */
export const TWO_INCH_JOIST: Joist = { thicknessM: 0.038, diffusivityM2S: 2e-10 }

/** Moisture of the two nodes [% of dry mass]. */
export interface JoistMoisture {
  surfacePct: number
  corePct: number
}

// Least-squares fit of the two-node step response to Crank's series for D t / L² from 0.005 to 2.5:
// share of the wood in the surface node, and both conductances in units of D / L² for the whole half thickness.
const SURFACE_SHARE = 0.2132
const TO_SURFACE = 15.016
const TO_CORE = 2.37

/** Mean moisture of the piece, which is what weighing would find. */
export function meanMoisturePct({ surfacePct, corePct }: JoistMoisture): number {
  return SURFACE_SHARE * surfacePct + (1 - SURFACE_SHARE) * corePct
}

/** What remains of each node's distance from equilibrium after one step: exact for an equilibrium held over the step. */
export interface JoistStep {
  surfaceFromSurface: number
  surfaceFromCore: number
  coreFromSurface: number
  coreFromCore: number
}

/**
 * Prepares a step of fixed length; any length is stable.
 *
 * @param stepHours [h], above 0
 * @param joist thickness 0.005 to 0.2 m, diffusivity 1e-12 to 1e-8 m²/s
 * @throws RangeError outside the valid ranges
 */
export function joistStep(stepHours: number, joist: Joist = TWO_INCH_JOIST): JoistStep {
  assertPositive(stepHours, 'stepHours', 'h')
  assertWithin(joist.thicknessM, 'thicknessM', 'm', [0.005, 0.2])
  assertWithin(joist.diffusivityM2S, 'diffusivityM2S', 'm²/s', [1e-12, 1e-8])
  const fourier = (joist.diffusivityM2S * stepHours * 3600) / (joist.thicknessM / 2) ** 2
  // d/dt of (surface, core) distances is [[-a, b], [c, -c]]; its exponential by the two (real, negative) eigenvalues.
  const a = (TO_SURFACE + TO_CORE) / SURFACE_SHARE
  const b = TO_CORE / SURFACE_SHARE
  const c = TO_CORE / (1 - SURFACE_SHARE)
  const half = Math.sqrt(((a - c) / 2) ** 2 + b * c)
  const fast = Math.exp((-(a + c) / 2 - half) * fourier)
  const slow = Math.exp((-(a + c) / 2 + half) * fourier)
  const even = (slow + fast) / 2
  const odd = (slow - fast) / (2 * half)
  return {
    surfaceFromSurface: even - ((a - c) / 2) * odd,
    surfaceFromCore: b * odd,
    coreFromSurface: c * odd,
    coreFromCore: even + ((a - c) / 2) * odd,
  }
}

/** One step toward an equilibrium moisture held over the step; `step` comes from `joistStep`. */
export function stepJoist(state: JoistMoisture, equilibriumPct: number, step: JoistStep): JoistMoisture {
  const surface = state.surfacePct - equilibriumPct
  const core = state.corePct - equilibriumPct
  return {
    surfacePct: equilibriumPct + step.surfaceFromSurface * surface + step.surfaceFromCore * core,
    corePct: equilibriumPct + step.coreFromSurface * surface + step.coreFromCore * core,
  }
}

/**
 * Moisture of a joist's surface and core along a series of equilibrium moistures.
 *
 * A missing row (NaN) holds both nodes. Rows before the first known state are NaN. Holds for bound water only: liquid
 * water on the wood gets in faster.
 *
 * @param outSurface, outCore moisture at the end of each step [%]
 * @param equilibriumPct equilibrium moisture over each step [%], from `equilibriumMoisturePctInto`
 * @param stepHours [h], above 0
 * @param options.start moisture before the first row, best from a pin reading; without it both nodes begin at the first
 *   known equilibrium, and the first month is then a guess
 * @throws RangeError for a bad step, joist or unequal columns
 */
export function joistMoistureInto(
  outSurface: Float64Array,
  outCore: Float64Array,
  equilibriumPct: Float64Array,
  stepHours: number,
  options: { start?: JoistMoisture; joist?: Joist } = {},
): void {
  assertSameLength(outSurface, outCore, equilibriumPct)
  const step = joistStep(stepHours, options.joist)
  let { surfacePct, corePct } = options.start ?? { surfacePct: Number.NaN, corePct: Number.NaN }
  for (let i = 0; i < equilibriumPct.length; i++) {
    const equilibrium = equilibriumPct[i]!
    if (!Number.isNaN(equilibrium)) {
      if (Number.isNaN(surfacePct)) surfacePct = corePct = equilibrium
      const surface = surfacePct - equilibrium
      const core = corePct - equilibrium
      surfacePct = equilibrium + step.surfaceFromSurface * surface + step.surfaceFromCore * core
      corePct = equilibrium + step.coreFromSurface * surface + step.coreFromCore * core
    }
    outSurface[i] = surfacePct
    outCore[i] = corePct
  }
}
