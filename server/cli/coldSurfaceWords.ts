/** A cold surface as it is typed: its name, and after a colon how cold it is, or what is inside it and its insulation. */
import type { ColdSurface } from '../moisture/condensation.ts'
import { celsiusFromFahrenheit, m2kwFromRValue } from '../physics/units.ts'
import { UsageError } from './command.ts'

const TYPED = /^([^:]+):\s*(inside\s+)?(-?\d+(?:\.\d+)?)\s*°?([CF])(?:\s*,\s*R\s*(\d+(?:\.\d+)?))?$/i
const NAME_MOST = 100
const RANGE_C = [-40, 60] as const
const R_MOST = 100

/**
 * `water pipe:54F` is so cold itself; `supply duct:inside 55F,R6` has air of 55 °F inside and insulation of R 6
 * (h·ft²·°F/Btu).
 * @throws UsageError with what can be said
 */
export function parseColdSurface(text: string): ColdSurface {
  const match = TYPED.exec(text.trim())
  const [, name = '', inside, degrees, unit = 'C', rValue] = match ?? []
  const value = Number(degrees)
  const tempC = unit.toUpperCase() === 'F' ? celsiusFromFahrenheit(value) : value
  const known = match !== null && name.length <= NAME_MOST && tempC >= RANGE_C[0] && tempC <= RANGE_C[1]
  const insulated = rValue !== undefined
  if (!known || (insulated && (inside === undefined || Number(rValue) > R_MOST))) {
    throw new UsageError(
      `--cold-surface "${text}" is not understood. Say "water pipe:54F" for how cold it is itself, or "supply duct:inside 55F,R6" for what is inside it and its insulation.`,
    )
  }
  if (inside === undefined) return { name: name.trim(), tempC }
  return {
    name: name.trim(),
    insideTempC: tempC,
    ...(insulated && { insulationM2KPerW: m2kwFromRValue(Number(rValue)) }),
  }
}
