/** Mold index along a simulated run, on a surface as warm as the air. */
import { MOLD_CLASSES, moldIndexInto } from '../physics/mold.ts'
import type { FullRun } from './timber.ts'

/** Six-hour means: the model was made for hourly steps, but differences of runs hardly change and a run costs a sixth. */
export const MOLD_STEP_HOURS = 6

/**
 * Index after each whole step of {@link MOLD_STEP_HOURS} from the run's first hour, starting from 0: what grew before the
 * record is not known. Class "sensitive": planed wood, wood-based boards.
 */
export function moldOverRun(run: Pick<FullRun, 'vaporPressurePa' | 'climate'>): Float64Array {
  const steps = Math.floor(run.vaporPressurePa.length / MOLD_STEP_HOURS)
  const tempC = new Float64Array(steps)
  const rhPct = new Float64Array(steps)
  for (let step = 0; step < steps; step++) {
    for (let h = step * MOLD_STEP_HOURS; h < (step + 1) * MOLD_STEP_HOURS; h++) {
      tempC[step]! += run.climate.tempC[h]! / MOLD_STEP_HOURS
      rhPct[step]! += (100 * run.vaporPressurePa[h]!) / run.climate.saturationPa[h]! / MOLD_STEP_HOURS
    }
    rhPct[step] = Math.min(100, rhPct[step]!)
  }
  return moldIndexInto(new Float64Array(steps), tempC, rhPct, MOLD_STEP_HOURS, { material: MOLD_CLASSES.sensitive })
}
