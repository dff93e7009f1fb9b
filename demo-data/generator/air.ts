/**
 * Moist air for the generator. The saturation curve is Buck's, not the one the service uses: the demo house and the
 * validation houses shall not agree with the service merely because both carry the same formula.
 */
const VAPOR_GAS_CONSTANT = 461.5 // J/(kg K)
const PRESSURE_PA = 100_500 // a few hundred feet above the sea

/**
 * Saturation vapor pressure over liquid water [Pa] at tempC [°C], -40 to 50; from memory of Buck (1981), equation
 * e_w4; also used below 0 °C, as humidity sensors report against water.
 */
export const saturationPa = (tempC: number): number =>
  611.21 * Math.exp(((18.678 - tempC / 234.5) * tempC) / (257.14 + tempC))

/** Kilograms of vapor a cubic meter of air holds for each pascal of vapor pressure [kg/(m3 Pa)]. */
export const kgPerM3Pa = (tempC: number): number => 1 / (VAPOR_GAS_CONSTANT * (tempC + 273.15))

/** Humidity ratio in grams of vapor per kilogram of dry air. */
export const gPerKg = (vaporPressurePa: number): number => (622 * vaporPressurePa) / (PRESSURE_PA - vaporPressurePa)

export const vaporPressurePaOf = (gramsPerKg: number): number => (gramsPerKg * PRESSURE_PA) / (622 + gramsPerKg)

/** Dew point [°C] by Newton's method; converges in a few rounds over -40 to 50 °C. */
export function dewPointC(vaporPressurePa: number): number {
  let t = 10
  for (let round = 0; round < 30; round++) {
    const e = saturationPa(t)
    const slope = (saturationPa(t + 0.01) - e) / 0.01
    const step = (vaporPressurePa - e) / slope
    t += Math.max(-15, Math.min(15, step))
    if (Math.abs(step) < 1e-9) return t
  }
  throw new RangeError(`No dew point for ${vaporPressurePa} Pa: expected about 15 to 12,000 Pa.`)
}
