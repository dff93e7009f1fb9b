/** Questions with what each answer would make of the file's own first rows. */
import type { Layout } from './layout.ts'
import { quantityInWords } from './roles.ts'
import type { UnitVerdict } from './settle.ts'
import type { Choice, Column, DateOrder, Question, Understanding, Unit } from './understanding.ts'
import { UNITS, unitsOf } from './units.ts'
import { offsetName, standardOffsetMs } from './zones.ts'

const ORDER_LABELS: Record<DateOrder, string> = {
  mdy: 'month, day, year (United States)',
  dmy: 'day, month, year (Europe)',
  ymd: 'year, month, day',
}

export function askDateOrder(layout: Layout, orders: readonly DateOrder[]): Question {
  const at = [...layout.time.roles].find(([, role]) => role === 'time' || role === 'date')?.[0] ?? 0
  const texts = [...new Set(layout.table.rows.map((row) => row.cells[at] ?? ''))].slice(0, 3)
  return {
    key: 'dateOrder',
    why: `Every date in the file, such as ${texts[0]}, can be read with the day or the month first.`,
    choices: orders.map((order) => ({
      value: order,
      label: ORDER_LABELS[order],
      examples: texts.map((text) => `${text} is ${inWords(text, order)}`),
    })),
    assumed: null,
  }
}

function inWords(text: string, order: DateOrder): string {
  const [a = 0, b = 0, c = 0] = (text.match(/\d+/g) ?? []).map(Number)
  const [year, month, day] = order === 'ymd' ? [a, b, c] : order === 'dmy' ? [c, b, a] : [c, a, b]
  if (!(month >= 1 && month <= 12 && day >= 1 && day <= 31)) return 'no date'
  const name = new Intl.DateTimeFormat('en-US', { month: 'long', timeZone: 'UTC' }).format(Date.UTC(2000, month - 1, 1))
  return `${name} ${day}, ${year < 70 ? 2000 + year : year < 100 ? 1900 + year : year}`
}

export function askUnit(column: Column, layout: Layout | null, verdict: UnitVerdict): Question {
  const quantity = column.quantity!
  const numbers = (layout?.kinds[column.index]?.texts ?? [])
    .map((text) => Number(text.replace(',', '.')))
    .filter(Number.isFinite)
    .slice(0, 3)
  const choices = unitsOf(quantity).map(
    (unit): Choice => ({ value: unit, label: unit, examples: numbers.map((n) => asRead(n, unit, column)) }),
  )
  return {
    key: 'columnUnits',
    column: column.key,
    columns: [column.key],
    why: `${column.key} is read as ${quantityInWords(quantity)} in ${verdict.unit === 'in' ? 'inches' : verdict.unit}: ${verdict.because}.`,
    choices,
    assumed: verdict.sure ? verdict.unit : null,
  }
}

function asRead(value: number, unit: Unit, column: Column): string {
  const { scale, shift } = UNITS[unit]
  const stored = Math.round((value * scale + shift) * 100) / 100
  const storedUnit =
    column.quantity === 'rainMm'
      ? 'mm'
      : column.quantity === 'rhPct' || column.quantity === 'woodMcPct'
        ? '%'
        : column.quantity!.endsWith('C')
          ? '°C'
          : ''
  return `${value} becomes ${stored} ${storedUnit}`.trim()
}

/** One question for a table without a usable header; null where no column holds numbers. */
export function askColumns(layout: Layout): Question | null {
  const choices: Choice[] = []
  for (const column of layout.columns) {
    const kind = layout.kinds[column.index]!
    if (
      column.role !== 'ignored' ||
      !['integer', 'number', 'commaNumber'].includes(kind.kind) ||
      new Set(kind.texts).size < 2
    )
      continue
    const numbers = kind.texts.map((text) => Number.parseFloat(text.replace(',', '.')))
    const [low, high] = [Math.min(...numbers), Math.max(...numbers)]
    choices.push({ value: column.key, label: `${column.key}: ${low} to ${high}`, examples: kind.texts.slice(0, 3) })
  }
  if (choices.length === 0) return null
  return {
    key: 'columnRoles',
    why: 'The file does not say which column is the temperature, the humidity or another quantity. Say so for the columns to keep.',
    choices,
    assumed: null,
  }
}

export function askKinds(layout: Layout, draft: Understanding): Question {
  const column = draft.columns.find((c) => c.role === 'kind')!
  const counts = new Map<string, number>()
  for (const { cells } of layout.table.rows)
    counts.set(cells[column.index] ?? '', (counts.get(cells[column.index] ?? '') ?? 0) + 1)
  const kept = draft.keptKinds.join(', ')
  return {
    key: 'rowKinds',
    column: column.key,
    why: kept
      ? `${column.key} tells several kinds of rows apart; only ${kept} comes in even steps, so only those rows are read.`
      : `${column.key} tells several kinds of rows apart and none comes in even steps, so all rows are read.`,
    choices: [...counts].map(([value, count]) => ({
      value,
      label: value || '(empty)',
      examples: [`${count} of the first ${layout.table.rows.length} rows`],
    })),
    assumed: kept,
  }
}

export const askSumsMark = (): Question => ({
  key: 'sumsMark',
  why: 'The file does not say whether the time of a sum is the end or the start of its span.',
  choices: [
    { value: 'end', label: 'the end of the span', examples: ['0.3 at 02:00 fell from 01:00 to 02:00'] },
    { value: 'start', label: 'the start of the span', examples: ['0.3 at 02:00 fell from 02:00 to 03:00'] },
  ],
  assumed: 'end',
})

export function askTypicalYear(now: number): Question {
  const year = new Date(now).getUTCFullYear() - 1
  return {
    key: 'typicalYear',
    why: 'The months of this file come from different years: it is a typical year, made for design, and no record of what happened.',
    choices: [
      {
        value: String(year),
        label: `use it as a typical year, written as ${year}`,
        examples: ['Only for comparing designs, never as the weather of that year.'],
      },
    ],
    assumed: null,
  }
}

export function askDecimalMark(layout: Layout): Question {
  const text = layout.kinds.find((kind) => kind.kind === 'commaNumber')?.texts[0] ?? ''
  return {
    key: 'decimalMark',
    why: `Some numbers of the file have a decimal point and some a comma, such as ${text}.`,
    choices: [
      { value: '.', label: 'decimal point', examples: [] },
      { value: ',', label: 'decimal comma', examples: [] },
    ],
    assumed: null,
  }
}

export function askZone(houseZone: string, about: 'missing hour' | 'two clocks' | 'repeated hour'): Question {
  const standard = offsetName(standardOffsetMs(houseZone))
  const why = {
    'missing hour': `The file has rows in the hour that daylight saving skips in ${houseZone}: the clock of the logger was not put forward, so its times are read as ${standard} all through.`,
    'two clocks': 'The file holds two clocks that differ by a fixed time, and neither fits the zone of the house.',
    'repeated hour': `The hour that comes twice in ${houseZone} stands in the file once: the clock of the logger may not follow daylight saving.`,
  }[about]
  return {
    key: 'timeZone',
    why,
    choices: [
      { value: standard, label: `${standard} all year`, examples: [] },
      { value: 'house', label: `local time of the house (${houseZone})`, examples: [] },
      { value: 'UTC', label: 'UTC', examples: [] },
    ],
    assumed: about === 'missing hour' ? standard : about === 'repeated hour' ? 'house' : null,
  }
}
