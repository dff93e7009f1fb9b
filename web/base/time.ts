/** Instants as the clock at the house shows them. */

/** One formatter is kept for each zone, because making one costs more than using it many times. */
export function format(options: Intl.DateTimeFormatOptions): (at: number, timeZone: string) => string {
  const kept = new Map<string, Intl.DateTimeFormat>()
  return (at, timeZone) => {
    let formatter = kept.get(timeZone)
    if (!formatter) {
      formatter = new Intl.DateTimeFormat('en-US', { timeZone, ...options })
      kept.set(timeZone, formatter)
    }
    return formatter.format(at)
  }
}

/** July 7, 2025 */
export const dateText = format({ year: 'numeric', month: 'long', day: 'numeric' })
/** Jul 7, 2025 */
export const shortDateText = format({ year: 'numeric', month: 'short', day: 'numeric' })
/** Jul 7, 2025, 2:30 PM */
export const momentText = format({
  year: 'numeric',
  month: 'short',
  day: 'numeric',
  hour: 'numeric',
  minute: '2-digit',
})

/** A local date as the service sends it (2025-07-07), in words. */
export const localDateText = (date: string): string => {
  const [year, month, day] = date.slice(0, 10).split('-').map(Number)
  return dateText(Date.UTC(year!, month! - 1, day!, 12), 'UTC')
}

/** The local date of an instant, as the service takes it: 2025-07-07. */
export function localDate(at: number, timeZone: string): string {
  const parts = new Intl.DateTimeFormat('en-CA', { timeZone, year: 'numeric', month: '2-digit', day: '2-digit' })
  return parts.format(at)
}

const MINUTE = 60_000
/** "8 s", "3 min", "31 h", "12 days": how long ago, or for how long. */
export function ageWords(ms: number): string {
  if (ms < 90_000) return `${Math.max(0, Math.round(ms / 1000))} s`
  if (ms < 90 * MINUTE) return `${Math.round(ms / MINUTE)} min`
  if (ms < 48 * 60 * MINUTE) return `${Math.round(ms / (60 * MINUTE))} h`
  return `${Math.round(ms / (24 * 60 * MINUTE))} days`
}
export const ageText = (ms: number): string => `${ageWords(ms)} ago`
