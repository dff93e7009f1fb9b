/** Instants and numbers as they stand in letters: the clock of the house, the units of the reader. */
import { fahrenheitFromCelsius } from '../../physics/units.ts'
import type { SpotQuantity } from '../../store/spotHistory.ts'
import type { NoticeBody } from '../types.ts'
import type { ReaderTold } from './told.ts'

export type Units = ReaderTold['units']

const words = (at: number, timeZone: string, options: Intl.DateTimeFormatOptions): string =>
  // The runtime puts a narrow space before AM and PM that some mail programs show as a box.
  new Intl.DateTimeFormat('en-US', { timeZone, ...options }).format(at).replaceAll('\u202f', ' ')

/** Tuesday, June 30, 3:10 AM */
export const moment = (at: number, timeZone: string): string =>
  words(at, timeZone, { weekday: 'long', month: 'long', day: 'numeric', hour: 'numeric', minute: '2-digit' }).replace(
    ' at ',
    ', ',
  )
/** Tuesday, June 30 */
export const day = (at: number, timeZone: string): string =>
  words(at, timeZone, { weekday: 'long', month: 'long', day: 'numeric' })
/** June 30 */
export const shortDay = (at: number, timeZone: string): string => words(at, timeZone, { month: 'long', day: 'numeric' })
/** Jun 30 */
export const tickDay = (at: number, timeZone: string): string => words(at, timeZone, { month: 'short', day: 'numeric' })
/** June 2026 */
export const month = (at: number, timeZone: string): string => words(at, timeZone, { month: 'long', year: 'numeric' })

const fixed = (value: number, digits: number): string => {
  const text = value.toFixed(digits)
  return Number(text) === 0 ? text.replace('-', '') : text.replace('-', '−')
}

export const temperature = (tempC: number, units: Units): string =>
  units === 'us' ? `${fixed(fahrenheitFromCelsius(tempC), 0)}\u00a0°F` : `${fixed(tempC, 1)}\u00a0°C`

export const percent = (value: number, digits = 0): string => `${fixed(value, digits)}\u00a0%`

/** What one quantity of a picture is called, and how its numbers are shown. */
export function pictured(
  quantity: SpotQuantity,
  units: Units,
): { unit: string; called: string; of(si: number): number } {
  const same = (si: number) => si
  switch (quantity) {
    case 'rhPct':
      return { unit: '% relative humidity', called: 'Relative humidity', of: same }
    case 'woodMcPct':
      return { unit: 'wood, % moisture', called: 'Wood moisture', of: same }
    case 'tempC':
      return units === 'us'
        ? { unit: 'air, °F', called: 'Air temperature', of: fahrenheitFromCelsius }
        : { unit: 'air, °C', called: 'Air temperature', of: same }
    case 'wetPct':
      return { unit: '% of the time wet', called: 'How much of the time the probe was wet', of: same }
  }
}

/** "Water under" after "Urgent: " is "water under". */
export const lowerFirst = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1)

/** Where it is, with where else it is so; null for the whole house. */
export function placeLine({ place: { spotName, spaceName }, alsoAt }: NoticeBody): string | null {
  const name = spotName ?? spaceName
  if (name === null) return null
  const also = alsoAt.length === 0 ? '' : `; also ${alsoAt.slice(0, MOST_ALSO).join(', ')}`
  const more = alsoAt.length > MOST_ALSO ? ` and ${alsoAt.length - MOST_ALSO} more` : ''
  return `Where: ${name}${also}${more}.`
}

const MOST_ALSO = 3
