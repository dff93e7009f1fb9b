/** What was understood, for a person to check. */
import { QUANTITIES } from '../../series/quantities.ts'
import type { Layout } from './layout.ts'
import { quantityInWords } from './roles.ts'
import type { ReadSummary, Understanding } from './understanding.ts'

const DELIMITERS = { ',': 'commas', ';': 'semicolons', '\t': 'tabs', '|': 'bars', ' ': 'blanks' }
const ENCODINGS = { 'utf-8': 'UTF-8', 'utf-16le': 'UTF-16', 'utf-16be': 'UTF-16', 'windows-1252': 'Windows-1252' }
const ORDERS = { ymd: 'year, month, day', dmy: 'day, month, year', mdy: 'month, day, year' }

export function sentencesOf(u: Understanding, summary: ReadSummary, layout: Layout): string[] {
  const sentences = [
    `${u.gzip ? 'A zipped text' : 'A text'} in ${ENCODINGS[u.encoding]}, cells parted by ${DELIMITERS[u.delimiter]}, decimal ${u.decimalMark === ',' ? 'comma' : 'point'}.`,
    u.headerLine === null
      ? `No header; the first row is line ${u.firstRowLine}.`
      : `The header is line ${u.headerLine}${u.preambleLines > 0 ? `, after ${count(u.preambleLines, 'line')} above it` : ''}; the first row is line ${u.firstRowLine}.`,
    timeInWords(u, layout),
    `${count(u.rows, 'row')} from ${stamp(u.firstAt)} to ${stamp(u.lastAt)}${u.stepMs ? `, one every ${stepInWords(u.stepMs)}` : ''}.`,
  ]
  for (const column of u.columns) {
    if (column.role !== 'quantity') continue
    const probe = column.probeKey ? ` for probe "${column.probeKey}"` : ''
    sentences.push(
      `${column.key} is ${quantityInWords(column.quantity!)} in ${column.unit === 'in' ? 'inches' : (column.unit ?? 'its usual unit')}${probe}: ${column.because}.`,
    )
  }
  if (u.shape !== 'one probe') {
    sentences.push(
      `${count(u.probes.length, 'probe')}: ${u.probes
        .slice(0, 20)
        .map((p) => `${p.probeKey} (${count(p.rows, 'row')})`)
        .join(', ')}.`,
    )
  }
  if (u.keptKinds.length > 0) sentences.push(`Only rows of the kind ${u.keptKinds.join(', ')} are read.`)
  const left = u.columns.filter((column) => column.role === 'ignored')
  if (left.length > 0)
    sentences.push(
      `Left out: ${left
        .slice(0, 12)
        .map((column) => column.key)
        .join(', ')}${left.length > 12 ? ` and ${left.length - 12} more` : ''}.`,
    )
  if (u.emptyRows > 0) sentences.push(`Not stored because there is a time but no value: ${count(u.emptyRows, 'row')}.`)
  if (summary.skippedLines > 0)
    sentences.push(
      `Passed over as no reading (blank, repeated header, remark or another kind): ${count(summary.skippedLines, 'line')}.`,
    )
  if (u.missingNumbers.length > 0) sentences.push(`Read as "no value": ${u.missingNumbers.join(', ')}.`)
  if (u.time.dateOnly === 'dayEnd')
    sentences.push('Dates without a clock: a sum is stored at the end of its local day.')
  if (u.time.dateOnly === 'noon') sentences.push('Dates without a clock: a value is stored at noon of its local day.')
  if (u.typicalYear)
    sentences.push('The months come from different years: a typical year, made for design, not a record.')
  return sentences
}

function timeInWords({ time, timeZoneBasis }: Understanding, layout: Layout): string {
  const names = [...layout.time.roles.keys()].map((index) => layout.columns[index]!.key).join(', ')
  const form =
    time.form === 'epochS' || time.form === 'epochMs'
      ? 'counts since 1970'
      : time.form === 'parts'
        ? 'one column for each part'
        : `${ORDERS[time.dateOrder]}${time.clock12h ? ', 12-hour clock with AM and PM' : ''}`
  const zone = {
    'offset in text': 'each time states its offset from UTC',
    UTC: 'in UTC',
    'house zone': `local time of the house (${time.zone})`,
    'fixed offset': `fixed offset ${time.zone} without daylight saving`,
    'named zone': `zone ${time.zone}, named in the file`,
    asked: `zone ${time.zone} as stated`,
  }[timeZoneBasis]
  return `The time is in ${names}: ${form}; ${zone}.`
}

export const count = (n: number, noun: string): string => `${n.toLocaleString('en-US')} ${noun}${n === 1 ? '' : 's'}`

export const stamp = (at: number): string =>
  Number.isFinite(at) ? `${new Date(at).toISOString().slice(0, 16).replace('T', ' ')} UTC` : 'never'

export function stepInWords(ms: number): string {
  if (ms % 86_400_000 === 0) return count(ms / 86_400_000, 'day')
  if (ms % 3_600_000 === 0) return count(ms / 3_600_000, 'hour')
  if (ms % 60_000 === 0) return count(ms / 60_000, 'minute')
  return `${ms / 1000} seconds`
}

export const unitOf = (quantity: keyof typeof QUANTITIES): string => QUANTITIES[quantity].unit
