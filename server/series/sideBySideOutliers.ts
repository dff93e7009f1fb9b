/** Which of several probes in one air are out of order: too far off, or unsteady. */
import { median, medianAcross, robustSpread } from './robust.ts'

/** By the names of advice/defaults.ts. */
export interface SideBySideLimits {
  /** A spread above these between loggers in one box means offsets to correct. */
  checkFineRhPct: number
  checkFineTempK: number
  checkRejectRhPct: number
  checkRejectTempK: number
  checkUnsteadyRhPct: number
}

/** A probe in its calm hours. */
export interface Laid {
  key: string
  tempC: Float64Array
  rhPct: Float64Array
  vaporPa: Float64Array
}

/** The worst is taken out first and the others are looked at anew, because it pulls at their middle. */
export function withoutOutliers(
  laid: readonly Laid[],
  limits: SideBySideLimits,
): { agreeing: Laid[]; rejected: Map<string, string> } {
  let agreeing = [...laid]
  const rejected = new Map<string, string>()
  while (agreeing.length >= 3) {
    const found = agreeing.flatMap((probe) => {
      const out = outlying(probe, agreeing, limits)
      return out === null ? [] : [{ probe, ...out }]
    })
    if (found.length === 0) break
    const worst = found.reduce((a, b) => (b.times > a.times ? b : a))
    rejected.set(worst.probe.key, worst.reason)
    agreeing = agreeing.filter((probe) => probe !== worst.probe)
  }
  return { agreeing, rejected }
}

/** Why a probe is out of order beside the others, and by how many times the limit; null when it is not. */
export function outlying(
  probe: Laid,
  among: readonly Laid[],
  limits: SideBySideLimits,
): { reason: string; times: number } | null {
  const p = among.indexOf(probe)
  const apart = (of: (laid: Laid) => Float64Array) => {
    const others = medianAcross(among.map(of), p)
    return of(probe).map((value, i) => value - others[i]!)
  }
  const rhApart = apart(({ rhPct }) => rhPct)
  const [rhPct, tempK] = [Math.abs(median(rhApart)), Math.abs(median(apart(({ tempC }) => tempC)))]
  // Two share their scatter, and the one that agrees with nobody cannot be named.
  const scatterPct = among.length < 3 ? 0 : robustSpread(rhApart)
  const found = [
    {
      times: rhPct / limits.checkRejectRhPct,
      reason: `It reads ${rhPct.toFixed(1)} % RH apart from the others: worn or wetted. Let it dry and check again, or replace it.`,
    },
    {
      times: tempK / limits.checkRejectTempK,
      reason: 'Its temperature lies too far from that of the others: the sensor is out of order. Replace it.',
    },
    {
      times: scatterPct / limits.checkUnsteadyRhPct,
      reason: `Its RH wanders by ${scatterPct.toFixed(1)} % against the others in still air. Replace it.`,
    },
  ].reduce((a, b) => (b.times > a.times ? b : a))
  return found.times > 1 ? found : null
}
