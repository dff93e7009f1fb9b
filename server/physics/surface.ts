/** Cold surfaces: how cold they are, how humid the air against them, whether they sweat, and what insulation stops it. */
import {
  dewPointC,
  rhAtOtherTemperaturePct,
  saturationVaporPressureIcePa,
  saturationVaporPressurePa,
  vaporPressurePa,
} from './air.ts'
import { assertPositive, assertWithin, type Range } from './check.ts'

const TEMP_RANGE_C: Range = [-60, 100]
const RESISTANCE_RANGE: Range = [0, 20]

/**
 * Resistance of still air against a surface [m² K/W]. From memory of ASHRAE Fundamentals (0.61, 0.68, 0.92 in US
 * units). Shiny facings hold 1.3 to 1.7 US units, which makes them colder than the air: shiny jackets sweat sooner.
 */
export const STILL_AIR_FILMS_M2KW = { heatUp: 0.107, vertical: 0.12, heatDown: 0.162 } as const

/** Resistances in series from the cold inside to the air [m² K/W]. */
export interface FlatLayers {
  insideFilmM2kw: number
  insulationM2kw: number
  outsideFilmM2kw: number
}

/**
 * Temperature of the surface that faces the air, of a duct, tank, wall or floor.
 *
 * @param airTempC, insideTempC [°C], valid -60 to 100
 * @param layers each 0 to 20 m² K/W, the sum above 0
 * @returns [°C]
 * @throws RangeError outside the valid ranges
 */
export function flatSurfaceTempC(airTempC: number, insideTempC: number, layers: FlatLayers): number {
  assertWithin(airTempC, 'airTempC', '°C', TEMP_RANGE_C)
  assertWithin(insideTempC, 'insideTempC', '°C', TEMP_RANGE_C)
  for (const [name, resistance] of Object.entries(layers)) assertWithin(resistance, name, 'm² K/W', RESISTANCE_RANGE)
  const total = layers.insideFilmM2kw + layers.insulationM2kw + layers.outsideFilmM2kw
  assertPositive(total, 'The sum of the layers', 'm² K/W')
  return airTempC - ((airTempC - insideTempC) * layers.outsideFilmM2kw) / total
}

export interface PipeInsulation {
  outerDiameterM: number
  thicknessM: number
  conductivityWMK: number
  /** Radiation and convection together; 8 to 10 for dull jackets indoors, 5 to 6 for bright metal (from memory). */
  outerFilmWM2K: number
}

/**
 * Temperature of the jacket of an insulated pipe.
 *
 * @param airTempC, pipeTempC [°C], valid -60 to 100; the pipe's own surface
 * @param pipe diameter 0.003 to 2 m, thickness 0 to 0.5 m, conductivity 0.005 to 5 W/(m K), film 1 to 100 W/(m² K)
 * @returns [°C]; the pipe's temperature without insulation
 * @throws RangeError outside the valid ranges
 */
export function pipeSurfaceTempC(airTempC: number, pipeTempC: number, pipe: PipeInsulation): number {
  assertWithin(airTempC, 'airTempC', '°C', TEMP_RANGE_C)
  assertWithin(pipeTempC, 'pipeTempC', '°C', TEMP_RANGE_C)
  assertWithin(pipe.outerDiameterM, 'outerDiameterM', 'm', [0.003, 2])
  assertWithin(pipe.thicknessM, 'thicknessM', 'm', [0, 0.5])
  assertWithin(pipe.conductivityWMK, 'conductivityWMK', 'W/(m K)', [0.005, 5])
  assertWithin(pipe.outerFilmWM2K, 'outerFilmWM2K', 'W/(m² K)', [1, 100])
  const inner = pipe.outerDiameterM / 2
  const outer = inner + pipe.thicknessM
  // Per meter of pipe; both resistances carry the same 1 / 2 pi, which cancels.
  const insulation = Math.log(outer / inner) / pipe.conductivityWMK
  const film = 1 / (outer * pipe.outerFilmWM2K)
  return airTempC - ((airTempC - pipeTempC) * film) / (insulation + film)
}

/**
 * RH of the air against a surface, not capped: 100 % is condensation, 80 % for weeks is where mold starts.
 *
 * @param tempC, rhPct of the air [°C, -60 to 100; %, 0 to 105]
 * @param surfaceTempC [°C], valid -60 to 100
 * @returns [%] over water
 * @throws RangeError outside the valid ranges
 */
export function surfaceRhPct(tempC: number, rhPct: number, surfaceTempC: number): number {
  return rhAtOtherTemperaturePct(tempC, rhPct, surfaceTempC)
}

/**
 * Whether water or, below 0 °C, frost forms on a surface. Frost forms earlier than dew would.
 *
 * @param tempC, rhPct of the air [°C, -60 to 100; %, 0 to 105]
 * @param surfaceTempC [°C], valid -60 to 100
 * @throws RangeError outside the valid ranges
 */
export function condenses(tempC: number, rhPct: number, surfaceTempC: number): boolean {
  const vaporPa = vaporPressurePa(tempC, rhPct)
  const limitPa =
    surfaceTempC < 0 ? saturationVaporPressureIcePa(surfaceTempC) : saturationVaporPressurePa(surfaceTempC)
  return vaporPa >= limitPa
}

/**
 * Least insulation that keeps a flat cold surface at or above the dew point, the inside film counted as nothing.
 *
 * @param tempC, rhPct of the air [°C, -60 to 100; %, above 0 and below 100]
 * @param coldTempC behind the insulation [°C], valid -60 to 100
 * @param outsideFilmM2kw see `STILL_AIR_FILMS_M2KW`, valid 0.01 to 1
 * @returns [m² K/W]; 0 when the bare surface stays above the dew point. Times the conductivity it is a thickness
 * @throws RangeError outside the valid ranges; saturated air condenses on anything colder
 */
export function minimumInsulationM2kw(
  tempC: number,
  rhPct: number,
  coldTempC: number,
  outsideFilmM2kw: number,
): number {
  assertWithin(coldTempC, 'coldTempC', '°C', TEMP_RANGE_C)
  assertWithin(outsideFilmM2kw, 'outsideFilmM2kw', 'm² K/W', [0.01, 1])
  assertWithin(rhPct, 'rhPct', '%', [0, 99.9])
  const dewC = dewPointC(vaporPressurePa(tempC, rhPct))
  if (coldTempC >= dewC) return 0
  return outsideFilmM2kw * ((tempC - coldTempC) / (tempC - dewC) - 1)
}
