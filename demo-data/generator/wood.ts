/**
 * Sorption of softwood in Oswin's form, u = c (φ / (1 − φ))^n, with constants fitted by hand to the table of
 * equilibrium moisture at 70 °F that the trade uses (RH 50 → 9.2 %, 65 → 12, 80 → 16, 90 → 20.5). Within about
 * 0.4 points up to 80 % RH and 1.6 points high at 90 %: wood differs by that much from board to board.
 */
const OSWIN_N = 0.4
const OSWIN_C_AT_21 = 0.092
const OSWIN_C_PER_K = -0.0003 // warmer wood holds less

const oswinC = (tempC: number) => OSWIN_C_AT_21 + OSWIN_C_PER_K * (tempC - 21)

/** Relative humidity (0-1) of the air inside wood with moisture `moisture` (kg/kg dry) at tempC. */
export function woodRh(moisture: number, tempC: number): number {
  return 1 / (1 + (oswinC(tempC) / moisture) ** (1 / OSWIN_N))
}

/** Slope of `woodRh` by moisture, at that relative humidity: d(φ)/d(u) = φ (1 − φ) / (n u). */
export const woodRhSlope = (moisture: number, rh: number): number => (rh * (1 - rh)) / (OSWIN_N * moisture)

/** Moisture (kg/kg dry) in balance with relative humidity `rh` (0-1, below 1) at tempC. */
export const woodMoistureAt = (rh: number, tempC: number): number => oswinC(tempC) * (rh / (1 - rh)) ** OSWIN_N
