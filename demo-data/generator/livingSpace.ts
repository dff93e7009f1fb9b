import { gPerKg, saturationPa, vaporPressurePaOf } from './air.ts'
import type { LivingSpaceSpec } from './spec.ts'
import type { Weather } from './weather.ts'

/** The rooms above, hour by hour; they drive the crawl space and are driven by the weather alone. */
export interface LivingSpace {
  tempC: Float64Array
  vaporPressurePa: Float64Array
  /** 0 off to 1 full. */
  cooling: Float64Array
  heating: Float64Array
}

/**
 * Heating and air conditioning follow the mean outdoor temperature of the last three days, as people do. Cooling dries
 * the rooms to about a 13-15 °C dew point; heated rooms hold what people give off above the outdoor air.
 */
export function livingSpaceOf(spec: LivingSpaceSpec, weather: Weather): LivingSpace {
  const hours = weather.tempC.length
  const tempC = new Float64Array(hours)
  const vaporPressurePa = new Float64Array(hours)
  const cooling = new Float64Array(hours)
  const heating = new Float64Array(hours)
  let mean3d = weather.tempC[0]!
  let t = (spec.heatingC + spec.coolingC) / 2
  let grams = gPerKg(weather.vaporPressurePa[0]!)
  for (let i = 0; i < hours; i++) {
    const outdoorC = weather.tempC[i]!
    mean3d += (outdoorC - mean3d) / 72
    cooling[i] = clamp((mean3d - 18.5) / 8) * clamp((outdoorC - 15) / 10)
    heating[i] = clamp((16 - mean3d) / 16) * clamp((19 - outdoorC) / 10)
    const wantedC = Math.min(spec.coolingC, Math.max(spec.heatingC, mean3d + 2.5))
    t += (wantedC + 0.035 * (outdoorC - mean3d) - t) / 6
    const outdoorGrams = gPerKg(weather.vaporPressurePa[i]!)
    // Shut in winter, windows open in mild weather.
    const openGrams = outdoorGrams + 2 - 1.3 * clamp((mean3d - 10) / 7)
    const cooledGrams = 9.6 + 0.09 * (outdoorGrams - 14)
    const wantedGrams = openGrams + clamp((mean3d - 18) / 4) * (Math.min(openGrams, cooledGrams) - openGrams)
    grams += (wantedGrams - grams) / 10
    tempC[i] = t
    vaporPressurePa[i] = Math.min(vaporPressurePaOf(grams), 0.85 * saturationPa(t))
  }
  return { tempC, vaporPressurePa, cooling, heating }
}

const clamp = (x: number) => Math.min(1, Math.max(0, x))
