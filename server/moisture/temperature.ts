/** What is read from the fitted heat balance: the temperature without some works, in the last state, in other weather. */
import { DAY_HOURS } from './input.ts'
import { solveUpper } from './linear.ts'
import { lowPass, meanOf } from './prepare.ts'
import { BASE_PRIORS, FAST_HOURS, MACHINE_PRIOR, SLOW_HOURS, steadyC, type Warmth } from './warmth.ts'

/**
 * What the named works did to the temperature, by hour [K]: with minus without.
 *
 * @param coefficients the fitted ones or a draw
 */
export function temperatureChange(
  warmth: Warmth,
  coefficients: Float64Array,
  without: ReadonlySet<string>,
): Float64Array | null {
  const chosen = warmth.terms.flatMap((t, k) => (t.workKey !== null && without.has(t.workKey) ? [k] : []))
  if (chosen.length === 0) return null
  const out = new Float64Array(warmth.fastC.length)
  for (const k of chosen) {
    const { kind, on } = warmth.terms[k]!
    const coefficient = coefficients[BASE_PRIORS.length + k]!
    for (let h = 0; h < out.length; h++) {
      if (on[h] === 0) continue
      out[h]! += coefficient * (kind === 'vents' ? warmth.fastC[h]! - steadyC(coefficients, warmth.slowC[h]!, h) : 1)
    }
  }
  return out
}

/** What to add so that every hour has the works and machines of the last hour [K]; null when nothing changed. */
export function temperatureToLastState(warmth: Warmth, coefficients: Float64Array): Float64Array | null {
  if (warmth.terms.every((t) => t.on.every((v) => v === t.on.at(-1)))) return null
  const out = new Float64Array(warmth.fastC.length)
  for (const [k, term] of warmth.terms.entries()) {
    const coefficient = coefficients[BASE_PRIORS.length + k]!
    const last = term.on.at(-1)!
    for (let h = 0; h < out.length; h++) {
      if (term.on[h] === last) continue
      const unit = term.kind === 'vents' ? warmth.fastC[h]! - steadyC(coefficients, warmth.slowC[h]!, h) : 1
      out[h]! += (last - term.on[h]!) * coefficient * unit
    }
  }
  return out
}

/** A draw of the coefficients; with a source of zeros it is the middle. */
export function drawWarmth(warmth: Warmth, normal: () => number): Float64Array {
  const noise = solveUpper(
    warmth.curvature,
    Float64Array.from(warmth.coefficients, () => normal()),
  )
  return warmth.coefficients.map((c, i) => c + noise[i]!)
}

/** Warming by a machine not yet seen here: as fitted where one was seen, else the prior. */
export function machineWarmingK(warmth: Warmth, coefficients: Float64Array, z: number): number {
  const seen = warmth.terms.findIndex((t) => t.kind === 'machine')
  return seen >= 0 ? coefficients[BASE_PRIORS.length + seen]! : MACHINE_PRIOR.mean + z * MACHINE_PRIOR.sd
}

/** How far outdoor air stands off the space's slow surroundings [K]: what a change of the tie is multiplied by. */
export function outdoorPull(coefficients: Float64Array, outdoorTempC: Float64Array): Float64Array {
  const { slowC, fastC } = settledFilters(outdoorTempC)
  const settled = Float64Array.from(coefficients)
  settled[3] = 0
  return fastC.map((fast, h) => fast - steadyC(settled, slowC[h]!, h))
}

/** Filters over a year that follows on itself. */
function settledFilters(outdoorTempC: Float64Array) {
  return {
    slowC: lowPass(outdoorTempC, SLOW_HOURS, meanOf(outdoorTempC.subarray(-30 * DAY_HOURS))),
    fastC: lowPass(outdoorTempC, FAST_HOURS, outdoorTempC.at(-1)!),
  }
}

/**
 * Forward model: hourly temperature in other weather, once the start has died away.
 *
 * @param on 1 where a term acts, by term, for the whole year
 */
export function spaceTemperatureIn(
  warmth: Warmth,
  coefficients: Float64Array,
  outdoorTempC: Float64Array,
  on: readonly boolean[],
): Float64Array {
  const { slowC, fastC } = settledFilters(outdoorTempC)
  const settled = Float64Array.from(coefficients)
  settled[3] = 0
  const [offset, slow, fast] = settled
  return outdoorTempC.map((_, h) => {
    let tempC = offset! + slow! * slowC[h]! + fast! * fastC[h]!
    for (let k = 0; k < on.length; k++) {
      if (!on[k]) continue
      const c = settled[BASE_PRIORS.length + k]!
      tempC += c * (warmth.terms[k]!.kind === 'vents' ? fastC[h]! - steadyC(settled, slowC[h]!, h) : 1)
    }
    return tempC
  })
}
