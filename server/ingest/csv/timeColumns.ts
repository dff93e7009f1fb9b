/** Which columns hold the time, and in which form. */
import { type CellKind, cellKind, isNumeric, prefixDigitsOf } from './cellKind.ts'
import type { Table } from './table.ts'
import type { ColumnRole, TimeReading } from './understanding.ts'
import { timePartNamed, wordsOf, zoneNamed } from './words.ts'

export interface TimeColumns {
  roles: Map<number, ColumnRole>
  form: TimeReading['form']
  prefixDigits: number
  /** `UTC` or a fixed offset where the time column itself says so. */
  zone: string | null
  /** True where every stamp carries its offset. */
  offsetInText: boolean
  dateOnly: boolean
}

/** The kind of most filled cells of a column, and how large that share is. */
export interface ColumnKind {
  kind: CellKind
  share: number
  filled: number
  texts: string[]
}

const SAMPLE = 400

export function columnKinds(table: Table): ColumnKind[] {
  const rows = table.rows.slice(0, SAMPLE)
  return table.names.map((_, index) => {
    const counts = new Map<CellKind, number>()
    const texts: string[] = []
    for (const { cells } of rows) {
      const text = cells[index] ?? ''
      const kind = cellKind(text)
      if (kind === 'empty' || kind === 'missing') continue
      texts.push(text)
      counts.set(kind, (counts.get(kind) ?? 0) + 1)
    }
    const ranked = [...counts].sort((a, b) => b[1] - a[1])
    const numeric = ranked.filter(([kind]) => isNumeric(kind)).reduce((sum, [, n]) => sum + n, 0)
    const [kind, most] = ranked[0] ?? ['empty', 0]
    // 2 beside 2.5 is one column of numbers.
    if (isNumeric(kind) && kind !== 'gluedDate') {
      const comma = counts.get('commaNumber') ?? 0
      const kindOfNumber = comma > 0 ? 'commaNumber' : (counts.get('number') ?? 0) > 0 ? 'number' : kind
      return { kind: kindOfNumber, share: numeric / texts.length, filled: texts.length, texts }
    }
    return { kind, share: most / Math.max(1, texts.length), filled: texts.length, texts }
  })
}

const ISO_OFFSET = /(?:z|[+-]\d\d:?\d\d|\b(?:utc|gmt|[ecmp][sd]t))$/i

/** null where no column can be the time. */
export function findTimeColumns(table: Table, kinds: readonly ColumnKind[]): TimeColumns | null {
  const enough = table.rows.slice(0, SAMPLE).length * 0.5
  const all = table.names.map((name, index) => ({ name, index, ...kinds[index]! }))
  const usable = all.filter((column) => column.share >= 0.8 && column.filled >= enough)
  const of = (...wanted: CellKind[]) => usable.filter((column) => wanted.includes(column.kind))
  const found = (
    form: TimeReading['form'],
    roles: [number, ColumnRole][],
    named: string,
    more: Partial<TimeColumns> = {},
  ): TimeColumns => ({
    roles: new Map(roles),
    form,
    prefixDigits: 0,
    zone: zoneNamed(named) ?? zoneOfName(named),
    offsetInText: false,
    dateOnly: false,
    ...more,
  })

  const stamps = of('stamp', 'gluedStamp', 'prefixedStamp')
  const withOffset = stamps.find((column) => column.texts.every((text) => ISO_OFFSET.test(text)))
  if (withOffset) return found('text', [[withOffset.index, 'time']], withOffset.name, { offsetInText: true })
  const epoch = of('epochMs', 'epochS').find((column) => isEpoch(column.name, column.texts))
  const stamp = stamps.find((column) => zoneNamed(column.name) !== null) ?? stamps[0]
  if (epoch && !stamp) {
    return found(epoch.kind === 'epochMs' ? 'epochMs' : 'epochS', [[epoch.index, 'time']], 'UTC')
  }
  if (stamp) {
    const prefixDigits = stamp.kind === 'prefixedStamp' ? prefixDigitsOf(stamp.texts[0]!) : 0
    const offset = all.find((column) => timePartNamed(column.name) === 'offset')
    const roles: [number, ColumnRole][] = [[stamp.index, 'time']]
    if (offset) roles.push([offset.index, 'offset'])
    return found(stamp.kind === 'stamp' ? 'text' : 'glued', roles, stamp.name, { prefixDigits })
  }

  const dottedClock = (column: { kind: CellKind; texts: readonly string[]; index: number }) =>
    column.kind === 'date' &&
    column.texts.every((text) => /^(?:[01]?\d|2[0-4])\.[0-5]\d\.[0-5]\d$/.test(text)) &&
    usable.some((other) => other.index !== column.index && (other.kind === 'date' || other.kind === 'gluedDate'))
  const dates = of('date', 'gluedDate').filter((column) => !dottedClock(column))
  const clocks = usable.filter(
    (column) => column.kind === 'clock' || dottedClock(column) || isClockDigits(column.name, column.texts, column.kind),
  )
  for (const date of dates) {
    const clock = clocks.find((column) => column.index > date.index) ?? clocks[0]
    if (!clock) break
    return found(
      date.kind === 'date' ? 'text' : 'glued',
      [
        [date.index, 'date'],
        [clock.index, 'clock'],
      ],
      `${date.name} ${clock.name}`,
    )
  }

  const parts = all.flatMap((column) => {
    const part = timePartNamed(column.name)
    return part && part !== 'offset' ? [[column.index, part] as [number, ColumnRole]] : []
  })
  const has = (role: ColumnRole) => parts.some(([, part]) => part === role)
  if (has('year') && has('month') && has('day')) {
    const names = parts.map(([index]) => table.names[index]).join(' ')
    return found('parts', parts, names, { dateOnly: !has('hour') })
  }

  const date = dates[0]
  if (date) return found(date.kind === 'date' ? 'text' : 'glued', [[date.index, 'date']], date.name, { dateOnly: true })
  return null
}

/** Ten or thirteen digits are a time when they grow down the file or the name says so. */
function isEpoch(name: string, texts: readonly string[]): boolean {
  if (wordsOf(name).some((word) => /^(epoch|unix|time|timestamp|ms|ts|date|at)$/.test(word))) return true
  const numbers = texts.map(Number)
  const growing = numbers.filter((value, i) => i > 0 && value >= numbers[i - 1]!).length
  return numbers.length > 2 && growing >= (numbers.length - 1) * 0.9 && numbers[0] !== numbers.at(-1)
}

/** `1610`, `0005`: four digits that are hours and minutes, in a column beside a date. */
const isClockDigits = (name: string, texts: readonly string[], kind: CellKind): boolean =>
  kind === 'integer' &&
  texts.every((text) => /^(?:[01]\d|2[0-4])[0-5]\d$/.test(text)) &&
  (name === '' || /time|hour|zeit|heure|hora|ora|tijd|klo|aika/i.test(name))

/** `time_utc`, `t_UTC+2`, `GMT`. */
const zoneOfName = (name: string): string | null => (wordsOf(name).includes('utc') ? 'UTC' : null)
