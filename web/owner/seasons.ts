/** The seasons of a house as a picture and in words: where everything stands, in px; drawing it is another's. */
import type { OwnerPageAnswer } from '../../server/http/contract/ownerPage.ts'
import type { Level } from '../../server/http/contract/words.ts'
import { localDateText } from '../base/time.ts'

export type Seasons = Pick<OwnerPageAnswer, 'weeks' | 'woodMeasured' | 'woodLines' | 'works'>
type Week = Seasons['weeks'][number]

/** Weeks in a row that stand side by side, one of years or all there is. */
export interface SeasonRow {
  /** "2025"; null where there is one row alone. */
  year: string | null
  weeks: Week[]
  /** How many weeks the row is long. */
  length: number
}

const WEEKS_OF_YEAR = 52
/** A year and a month: what is longer is laid out in years, season under season. */
const LONGEST_ROW = 57
const MOST_YEARS = 3

export function rowsOf(weeks: readonly Week[]): SeasonRow[] {
  if (weeks.length <= LONGEST_ROW) return [{ year: null, weeks: [...weeks], length: Math.max(weeks.length, 1) }]
  const years = [...new Set(weeks.map(({ date }) => date.slice(0, 4)))].slice(-MOST_YEARS)
  return years
    .reverse()
    .map((year) => ({ year, weeks: weeks.filter(({ date }) => date.startsWith(year)), length: WEEKS_OF_YEAR }))
}

const DAY_MS = 86_400_000
/** Of a local date in its year, from 0; the last week is a day or two longer. */
export function weekInYear(date: string): number {
  const newYear = Date.UTC(Number(date.slice(0, 4)), 0, 1)
  return Math.min(WEEKS_OF_YEAR - 1, Math.floor((Date.parse(date.slice(0, 10)) - newYear) / (7 * DAY_MS)))
}

/** How far along its row a date stands, in weeks; null where it lies outside. */
export function alongRow(row: SeasonRow, date: string): number | null {
  const day = (text: string) => Date.parse(text.slice(0, 10)) / DAY_MS
  if (row.year !== null) {
    if (!date.startsWith(row.year)) return null
    return Math.min(WEEKS_OF_YEAR, (day(date) - day(`${row.year}-01-01`)) / 7)
  }
  const first = row.weeks[0]?.date
  if (first === undefined) return null
  const along = (day(date) - day(first)) / 7
  return along < 0 || along > row.length ? null : along
}

/** Where a week begins along its row. */
const placeOf = (row: SeasonRow, week: Week, index: number): number =>
  row.year === null ? index : weekInYear(week.date)

export interface StripRun {
  level: Level
  from: number
  to: number
  /** Local dates of its first week and of the week after it, where there is one. */
  since: string
  until: string | null
}

/** Weeks of one level that follow one another. */
export function runsOf(row: SeasonRow): StripRun[] {
  const runs: StripRun[] = []
  for (const [i, week] of row.weeks.entries()) {
    const from = placeOf(row, week, i)
    const last = runs.at(-1)
    if (last?.level === week.level && last.to === from) last.to = from + 1
    else {
      if (last) last.until = week.date
      runs.push({ level: week.level, from, to: from + 1, since: week.date, until: null })
    }
  }
  return runs
}

/** Stretches in which the wood is known; a gap stays one. */
export function woodRuns(row: SeasonRow): { at: number; low: number; mid: number; high: number }[][] {
  const runs: { at: number; low: number; mid: number; high: number }[][] = []
  let last = Number.NaN
  for (const [i, week] of row.weeks.entries()) {
    if (week.wood === null) continue
    const at = placeOf(row, week, i) + 0.5
    if (at === last + 1) runs.at(-1)!.push({ at, ...week.wood })
    else runs.push([{ at, ...week.wood }])
    last = at
  }
  return runs
}

/** Both lines, and everything between which the wood ever stood. */
export function woodScale({ weeks, woodLines }: Seasons): { from: number; to: number } {
  const known = weeks.flatMap(({ wood }) => (wood === null ? [] : [wood.low, wood.high]))
  const from = Math.min(woodLines.dampPct - 4, ...known)
  const to = Math.max(woodLines.wetPct + 3, ...known)
  return { from: Math.floor(from / 2) * 2, to: Math.ceil(to / 2) * 2 }
}

/** The picture in words, for whoever does not see it. */
export function seasonsInWords({ weeks, woodMeasured, woodLines, works }: Seasons): string[] {
  if (weeks.length === 0) return ['Nothing has been measured yet.']
  const levels = rowsOf(weeks).map((row) => {
    const parts = runsOf(row).map(({ level, since }) => `${level} from ${dayWords(since, row.year === null)}`)
    return `${row.year === null ? 'The weeks' : row.year}: ${parts.join(', ')}.`
  })
  return [...levels, ...woodInWords(weeks, woodMeasured, woodLines), ...worksInWords(works)]
}

function woodInWords(weeks: readonly Week[], measured: boolean, lines: Seasons['woodLines']): string[] {
  const known = weeks.flatMap(({ date, wood }) => (wood === null ? [] : [{ date, ...wood }]))
  if (known.length === 0) return []
  const most = known.reduce((a, b) => (b.mid > a.mid ? b : a))
  const last = known.at(-1)!
  const band = (of: { low: number; mid: number; high: number }) =>
    `${of.mid.toFixed(0)} % (${of.low.toFixed(0)} to ${of.high.toFixed(0)})`
  return [
    `Wood at its wettest place, ${measured ? 'read by pins and estimated between' : 'estimated from the air'}: ${band(last)} in the week of ${localDateText(last.date)}; most in the week of ${localDateText(most.date)}, ${band(most)}. Above ${lines.dampPct} % it is damp, above ${lines.wetPct} % it is wet.`,
  ]
}

const worksInWords = (works: Seasons['works']): string[] =>
  works.length === 0 ? [] : [`Works: ${works.map(({ date, words }) => `${words}, ${localDateText(date)}`).join('; ')}.`]

/** "March 4", or with its year. */
const dayWords = (date: string, withYear: boolean): string =>
  withYear ? localDateText(date) : localDateText(date).replace(/, \d+$/, '')
