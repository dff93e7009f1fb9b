/** What each column holds: time, probe, kind of row, a quantity with its unit and probe, or nothing we keep. */
import { isNumeric } from './cellKind.ts'
import { ONE_PROBE } from './rowReader.ts'
import type { Table } from './table.ts'
import type { ColumnKind, TimeColumns } from './timeColumns.ts'
import type { Answers, Column, ColumnQuantity } from './understanding.ts'
import { unitInHeader, unitNamed } from './units.ts'
import { namesKind, namesProbe, namesSequence, quantityNamed, wordsOf } from './words.ts'

/** Unique handles for answers. */
export function columnKeys(names: readonly string[]): string[] {
  const seen = new Map<string, number>()
  return names.map((name, index) => {
    const key = name === '' ? `column ${index + 1}` : name
    const times = (seen.get(key) ?? 0) + 1
    seen.set(key, times)
    return times === 1 ? key : `${key} (${times})`
  })
}

export function columnsOf(
  table: Table,
  kinds: readonly ColumnKind[],
  time: TimeColumns | null,
  answers: Answers,
): Column[] {
  const keys = columnKeys(table.names)
  const described = describedInPreamble(table)
  const columns = table.names.map((name, index): Column => {
    const column: Column = { index, key: keys[index]!, name, role: 'ignored', because: '' }
    const answer = answers.columnRoles?.[column.key]
    if (answer)
      return {
        ...column,
        ...answer,
        unitFrom: answer.role === 'quantity' && answer.unit ? 'answer' : undefined,
        because: 'answered',
      }
    const timeRole = time?.roles.get(index)
    if (timeRole) return { ...column, role: timeRole, because: 'it holds the time' }
    return { ...column, ...roleOf(name, described.get(name) ?? '', kinds[index]!, table) }
  })
  keepOneOfEach(columns, 'probe')
  keepOneOfEach(columns, 'kind')
  nameProbes(columns)
  for (const column of columns) takeUnit(column, described, kinds, answers)
  return columns
}

function roleOf(name: string, description: string, kind: ColumnKind, table: Table): Partial<Column> {
  if (kind.filled === 0 && table.headerLine === null) return { because: 'it is empty' }
  // A description above the table speaks in whole words, but the column's own name decides what the column is of.
  const named = quantityNamed(name) ?? (description ? quantityNamed(description.replace(/,[^,]*$/, '')) : null)
  if (named && holdsNumbers(kind, named.quantity)) {
    return { role: 'quantity', quantity: named.quantity, because: `its name says ${quantityInWords(named.quantity)}` }
  }
  if (named && kind.filled === 0) return { because: NO_VALUE }
  if (table.headerLine === null) return { because: 'there is no header that says what it is' }
  const distinct = new Set(kind.texts).size
  if (namesKind(name) && kind.kind === 'text' && distinct > 1 && distinct <= 12) {
    return { role: 'kind', because: 'it tells kinds of rows apart' }
  }
  const probeLike = kind.kind === 'text' || kind.kind === 'integer'
  if (namesProbe(name) && !namesSequence(name) && probeLike && distinct <= 64 && !coordinate(name)) {
    return { role: 'probe', because: 'it names the probe' }
  }
  return { because: 'its name is none of the quantities that are kept' }
}

const coordinate = (name: string): boolean =>
  /lat|lon|elev|height|name$/i.test(name) && !/^(name|station name)$/i.test(name)

const holdsNumbers = (kind: ColumnKind, quantity: ColumnQuantity): boolean =>
  kind.filled > 0 &&
  (isNumeric(kind.kind) ||
    (quantity === 'waterPresent' && kind.kind === 'text') ||
    (quantity === 'rainMm' && numbersAmong(kind) > 0.3))

/** Rain columns carry traces (`T`) and marks (`0.02s`) among their numbers. */
const numbersAmong = ({ texts }: ColumnKind): number =>
  texts.filter((text) => /^\d*\.?\d+s?$|^t$/i.test(text)).length / Math.max(1, texts.length)

/** A preamble whose lines carry a column's name describes the columns: name, words, unit in one line. */
function describedInPreamble(table: Table): Map<string, string> {
  const names = new Set(table.names.filter(Boolean))
  const described = new Map<string, string>()
  for (const cells of table.preamble) {
    const at = cells.findIndex((cell) => names.has(cell))
    if (at < 0 || at > 1) continue
    const words = cells.slice(at + 1).filter(Boolean)
    if (words.length > 1 && !described.has(cells[at]!)) described.set(cells[at]!, words.join(','))
  }
  return described
}

function keepOneOfEach(columns: Column[], role: 'probe' | 'kind'): void {
  const [, ...others] = columns.filter((column) => column.role === role)
  for (const other of others)
    Object.assign(other, { role: 'ignored', because: `another column already serves as ${role}` })
}

/** Columns with the same words around their quantity belong to one probe: `T1` and `RH_1`, `T_out` and `RH_out`. */
function nameProbes(columns: Column[]): void {
  const quantities = columns.filter((column) => column.role === 'quantity')
  for (const column of quantities) column.probeKey ??= placeIn(column.name)
  const places = new Set(
    quantities
      .filter((c) => c.quantity === 'tempC' || c.quantity === 'rhPct' || c.quantity === 'woodMcPct')
      .map((c) => c.probeKey!),
  )
  const twice = new Set(quantities.map((c) => `${c.quantity} ${c.probeKey}`)).size < quantities.length
  if (places.size <= 1 && !twice) {
    for (const column of quantities) if (column.because !== 'answered') column.probeKey = undefined
    for (const column of quantities) if (!column.probeKey) delete column.probeKey
    return
  }
  // Two columns of one quantity at one place: the second keeps its whole name so that neither is lost.
  const taken = new Set<string>()
  for (const column of quantities) {
    const slot = `${column.quantity} ${column.probeKey}`
    if (taken.has(slot)) column.probeKey = column.key
    taken.add(`${column.quantity} ${column.probeKey}`)
  }
  for (const column of quantities) if (column.probeKey === '') column.probeKey = ONE_PROBE
}

/** What is left of a header without its quantity, its unit and filling words. */
function placeIn(name: string): string {
  const named = quantityNamed(name)
  const used = new Set([...(named?.used ?? []), ...FILLING])
  const withoutUnit = name.replaceAll(/[[(][^\])]*[\])]/g, ' ').replace(/,[^,]*$/, ' ')
  const short = /^(?:rh|t)_?(\d{1,3}|[a-z])$/i.exec(name.trim())
  if (short) return short[1]!.toLowerCase()
  const words = wordsOf(withoutUnit).filter((word) => !used.has(word) && !unitNamed(word))
  return words.join(' ')
}

const FILLING = [
  'relative',
  'rel',
  'relativ',
  'air',
  'dry',
  'hourly',
  'bulb',
  'point',
  'pt',
  'ambient',
  'value',
  'avg',
  'mean',
  'depth',
  'amount',
  'amt',
  'pct',
  'percent',
  'humidity',
  'temperature',
  'voltage',
  'rh',
  'sensor',
  'probe',
  'logger',
  'de',
  'der',
  'luft',
]

function takeUnit(
  column: Column,
  described: Map<string, string>,
  kinds: readonly ColumnKind[],
  answers: Answers,
): void {
  const quantity = column.quantity
  if (column.role !== 'quantity' || !quantity) return
  const answered = answers.columnUnits?.[column.key]
  if (answered) Object.assign(column, { unit: answered, unitFrom: 'answer' })
  if (column.unit) return
  const inHeader = unitInHeader(column.name, quantity)
  const description = described.get(column.name)
  const above = description ? unitNamed(description.split(',').at(-1)!, quantity) : null
  const inCells = kinds[column.index]?.texts[0]?.replace(/^[-+\d.,\s]+/, '')
  const fromCells = inCells ? unitNamed(inCells, quantity) : null
  if (inHeader) Object.assign(column, { unit: inHeader, unitFrom: 'header' })
  else if (above) Object.assign(column, { unit: above, unitFrom: 'preamble' })
  else if (fromCells) Object.assign(column, { unit: fromCells, unitFrom: 'cells' })
  else if (quantity === 'waterPresent') Object.assign(column, { unit: '0 or 1', unitFrom: 'values' })
}

/** Why a column that is named like a quantity is left out while it is empty. */
export const NO_VALUE = 'it has no value in the rows looked at'

const IN_WORDS: Record<ColumnQuantity, string> = {
  tempC: 'air temperature',
  rhPct: 'relative humidity',
  woodMcPct: 'wood moisture',
  surfaceTempC: 'surface temperature',
  rainMm: 'rain',
  waterPresent: 'liquid water',
  powerW: 'electric power',
  condensateL: 'condensate',
  batteryV: 'battery voltage',
  dewPointC: 'dew point',
  vaporPressurePa: 'vapor pressure',
}

export const quantityInWords = (quantity: ColumnQuantity): string => IN_WORDS[quantity]
