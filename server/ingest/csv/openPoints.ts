/** Date order and units that the header leaves open, settled from the values or asked. */
import { asciiBytes } from './encoding.ts'
import type { Head } from './head.ts'
import type { Layout } from './layout.ts'
import { askDateOrder, askUnit } from './questions.ts'
import {
  humidityUnit,
  plainUnit,
  type RawFacts,
  rainUnit,
  rawFacts,
  temperatureUnit,
  type UnitVerdict,
} from './settle.ts'
import type { Answers, Column, LookContext, Question, Source, Understanding } from './understanding.ts'
import { unitsOf } from './units.ts'
import { plainBytes } from './unzip.ts'

export async function settleDatesAndUnits(
  source: Source,
  context: LookContext,
  head: Head,
  layout: Layout,
  draft: Understanding,
  answers: Answers,
  questions: Question[],
): Promise<void> {
  const open = draft.columns.filter((column) => column.role === 'quantity' && !column.unit)
  const text = draft.time.form === 'text'
  const at = { ...draft, prefixDigits: draft.time.prefixDigits }
  let facts: RawFacts = await rawFacts([Buffer.from(`${head.lines.join('\n')}\n`)], 10, at, open)
  let dates = facts.dates.verdict()
  const datesOpen = text && !answers.dateOrder && dates.orders.length !== 1
  if (!head.whole && (open.length > 0 || datesOpen)) {
    facts = await rawFacts(asciiBytes(plainBytes(source, context), head), head.lineEnd, at, open)
    dates = facts.dates.verdict()
  }
  if (text) {
    draft.time.dateOrder = answers.dateOrder ?? dates.orders[0] ?? 'ymd'
    if (!answers.dateOrder && dates.orders.length > 1) questions.push(askDateOrder(layout, dates.orders))
  }
  const order = [...open].sort((a, b) => Number(a.quantity === 'rainMm') - Number(b.quantity === 'rainMm'))
  for (const column of order) {
    const verdict = verdictFor(column, facts, draft.columns)
    Object.assign(column, { unit: verdict.unit, unitFrom: 'values', because: `${column.because}; ${verdict.because}` })
    if (verdict.certain) continue
    const same = questions.find(
      (question) =>
        question.key === 'columnUnits' &&
        question.assumed !== null &&
        verdict.sure &&
        question.choices[0]!.value === unitsOf(column.quantity!)[0],
    )
    if (same) same.columns!.push(column.key)
    else questions.push(askUnit(column, layout, verdict))
  }
}

function verdictFor(column: Column, facts: RawFacts, columns: readonly Column[]): UnitVerdict {
  const range = facts.ranges.get(column.index) ?? { count: 0, min: 0, max: 0, nonZero: 0, odd: 0 }
  if (column.quantity === 'rhPct') return humidityUnit(range)
  if (column.quantity === 'rainMm') {
    return rainUnit(
      range,
      columns.filter((c) => c.quantity === 'tempC').map((c) => c.unit),
    )
  }
  if (column.quantity === 'dewPointC') {
    const unit = columns.find((c) => c.quantity === 'tempC')?.unit
    if (unit) return { unit, because: 'as the temperature', sure: true, certain: true }
  }
  if (column.quantity === 'tempC' || column.quantity === 'surfaceTempC' || column.quantity === 'dewPointC') {
    // One file, one system: a sibling column that is settled by its values settles the cool ones too.
    const siblings = [...facts.ranges].filter(([index]) => columns[index]?.quantity === column.quantity)
    if (siblings.some(([, of]) => of.max > 60 && of.max < 130) && range.max <= 130) {
      return { unit: '°F', because: 'values over 60 in the file can only be °F', sure: true, certain: true }
    }
    return temperatureUnit(range)
  }
  return { unit: plainUnit(column.quantity!), because: 'the usual unit', sure: true, certain: true }
}

/** A heading can be wrong: °C over values in °F, % over fractions. Nothing is stored before that is answered. */
export function askUnlikelyUnit(column: Column, draft: Understanding, answers: Answers, questions: Question[]): void {
  if (answers.columnUnits?.[column.key] || column.unitFrom === 'answer' || !column.unit) return
  if (questions.some((question) => question.key === 'columnUnits' && question.column === column.key)) return
  const probes = draft.probes.filter((probe) => !column.probeKey || probe.probeKey === column.probeKey)
  const of = probes.flatMap((probe) => probe.quantities.filter((q) => q.quantity === column.quantity))
  const count = of.reduce((sum, q) => sum + q.count, 0)
  if (count < 24) return
  const mean = of.reduce((sum, q) => sum + q.sum, 0) / count
  const max = Math.max(...of.map((q) => q.max))
  if (column.quantity === 'tempC' && column.unit === '°C' && mean > 45) {
    questions.push(
      askUnit(column, null, {
        unit: '°C',
        because: `the heading says °C, but the mean is ${mean.toFixed(1)}: that is a likely temperature in °F`,
        sure: false,
        certain: false,
      }),
    )
  }
  if (column.quantity === 'rhPct' && column.unit === '%' && max <= 1.05) {
    questions.push(
      askUnit(column, null, {
        unit: '%',
        because: 'the heading says percent, but no value is above 1: that is likely a fraction',
        sure: false,
        certain: false,
      }),
    )
  }
}
