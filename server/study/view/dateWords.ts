const MONTHS = [
  'January',
  'February',
  'March',
  'April',
  'May',
  'June',
  'July',
  'August',
  'September',
  'October',
  'November',
  'December',
]

/** July 7, 2025, of a local date such as 2025-07-07. */
export function dateWords(date: string): string {
  const [year, month, day] = date.slice(0, 10).split('-').map(Number)
  return `${MONTHS[month! - 1]} ${day}, ${year}`
}
