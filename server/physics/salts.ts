/** Humidity over saturated salt slurries, for checking a sensor: Greenspan 1977, J. Res. NBS 81A:89-96, table 1. */
import { assertWithin, type Range } from './check.ts'

interface Slurry {
  /** RH = sum of coefficient × t^i. */
  coefficients: readonly number[]
  /** Uncertainty at 20 °C [%RH], table 2 of the paper; of lithium and potassium chloride from memory. */
  uncertaintyPct?: number
}

/** The polynomial for potassium carbonate is from memory; its values at 10 and 20 °C agree with table 2. */
export const SALTS = {
  LiCl: { coefficients: [11.2323, 0.00824245, -2.1489e-4], uncertaintyPct: 0.31 },
  MgCl2: { coefficients: [33.6686, -0.00797397, -1.08988e-3], uncertaintyPct: 0.18 },
  K2CO3: { coefficients: [43.1315, 0.00147523], uncertaintyPct: 0.4 },
  'Mg(NO3)2': { coefficients: [60.3514, -0.298153] },
  NaCl: { coefficients: [75.5164, 0.0398321, -2.65459e-3, 2.848e-5], uncertaintyPct: 0.14 },
  KCl: { coefficients: [88.619, -0.19334, 8.99706e-4], uncertaintyPct: 0.29 },
  K2SO4: { coefficients: [98.7792, -0.0590502], uncertaintyPct: 0.6 },
} as const satisfies Record<string, Slurry>

export type Salt = keyof typeof SALTS

/** Narrower than the paper where it is: potassium carbonate was measured to 30 °C only (from memory). */
export const SALT_TEMP_RANGE_C: Range = [0, 50]

/**
 * RH over a slurry of this salt with undissolved crystals, after about a day of settling. A sensor 1 K warmer than the
 * slurry reads about 4.5 % low at 75 %: equal temperature matters more than the salt.
 *
 * @param tempC slurry and sensor [°C], valid 0 to 50 (potassium carbonate 0 to 30)
 * @returns [%] over water
 * @throws RangeError outside the valid range
 */
export function saltRhPct(salt: Salt, tempC: number): number {
  assertWithin(tempC, 'tempC', '°C', salt === 'K2CO3' ? [0, 30] : SALT_TEMP_RANGE_C)
  return SALTS[salt].coefficients.reduce((sum, coefficient, power) => sum + coefficient * tempC ** power, 0)
}
