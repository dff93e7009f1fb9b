/** A typical year of weather from a file (EPW, TMY3 and their like) as hourly columns. */

import { lookAtFile } from '../../ingest/csv/look.ts'
import { readRows } from '../../ingest/csv/rows.ts'
import type { Source } from '../../ingest/csv/understanding.ts'
import { HOUR_MS } from '../../moisture/input.ts'
import { vaporPressurePaInto } from '../../physics/airColumns.ts'

export interface TypicalYearFile {
  name: string
  startAt: number
  tempC: Float64Array
  vaporPressurePa: Float64Array
  /** null where the file has no rain, or rain that cannot be. */
  rainMm: Float64Array | null
}

/** The file holds no year of weather; the message says what, and how to fix it. */
export class YearRefused extends Error {
  override name = 'YearRefused'
}

/** Any year that is not a leap year serves: the months come from different ones. */
const PUT_IN_YEAR = 2025
const YEAR_HOURS = 8760
/** Longest gap that is drawn straight. */
const LONGEST_GAP_H = 6
/** Rain must be there for this share of the hours, else what is missing would pass for dry. */
const RAIN_SHARE = 0.95

/**
 * @param timeZone of the house, for a file that names no zone of its own
 * @throws YearRefused with a sentence
 */
export async function readTypicalYear(
  source: Source,
  { timeZone, now }: { timeZone: string; now: number },
): Promise<TypicalYearFile> {
  const look = await lookAtFile(source, { timeZone, now, answers: { typicalYear: PUT_IN_YEAR } })
  if (!look.ok) throw new YearRefused(`${look.refusal.message} ${look.refusal.hint}`)
  if (!look.ready) {
    const open = look.questions.find(({ assumed }) => assumed === null)
    throw new YearRefused(`${source.name} cannot be read without asking: ${open?.why ?? ''} Take an EPW or TMY3 file.`)
  }
  const { firstAt, lastAt } = look.understanding
  const startAt = Math.floor(firstAt / HOUR_MS) * HOUR_MS
  const hours = Math.floor((lastAt - startAt) / HOUR_MS) + 1
  if (!(hours >= YEAR_HOURS - 24 && hours <= YEAR_HOURS + 48)) {
    throw new YearRefused(
      `${source.name} covers ${Math.round(hours / 24)} days; a typical year has 365. Take another file.`,
    )
  }
  const columns = await readColumns(source, look.understanding, startAt, hours)
  const believed = !look.warnings.some(({ code }) => code === 'rainTotal')
  const rainHours = columns.rainMm.filter((mm) => !Number.isNaN(mm)).length
  return {
    name: source.name,
    startAt,
    tempC: bridged(columns.tempC, 'air temperature', source.name),
    vaporPressurePa: bridged(
      vaporPressurePaInto(new Float64Array(hours), columns.tempC, columns.rhPct),
      'humidity',
      source.name,
    ),
    rainMm:
      believed && rainHours >= RAIN_SHARE * hours ? columns.rainMm.map((mm) => (Number.isNaN(mm) ? 0 : mm)) : null,
  }
}

const WANTED = ['tempC', 'rhPct', 'rainMm'] as const

async function readColumns(
  source: Source,
  understanding: Parameters<typeof readRows>[1],
  startAt: number,
  hours: number,
): Promise<Record<(typeof WANTED)[number], Float64Array>> {
  const empty = () => new Float64Array(hours).fill(Number.NaN)
  const columns = { tempC: empty(), rhPct: empty(), rainMm: empty() }
  for await (const batch of readRows(source, understanding)) {
    if (batch.kind !== 'readings') continue
    for (const name of WANTED) {
      const values = batch.columns[name]
      if (values === undefined) continue
      for (let i = 0; i < batch.at.length; i++) {
        const hour = Math.floor((batch.at[i]! - startAt) / HOUR_MS)
        if (hour >= 0 && hour < hours && !Number.isNaN(values[i]!)) columns[name][hour] = values[i]!
      }
    }
  }
  return columns
}

/** Short gaps drawn straight; a long one is refused, because the year's answer would rest on it. */
function bridged(column: Float64Array, what: string, file: string): Float64Array {
  const out = column.slice()
  let last = -1
  for (let h = 0; h <= out.length; h++) {
    if (h < out.length && Number.isNaN(column[h]!)) continue
    const gap = h - last - 1
    if (gap > LONGEST_GAP_H) {
      throw new YearRefused(`${file} has no ${what} for ${gap} hours in a row. Take a file without such a gap.`)
    }
    const [from, to] = [column[last] ?? column[h]!, column[h] ?? column[last]!]
    for (let k = 1; k <= gap; k++) out[last + k] = from + ((to - from) * k) / (gap + 1)
    last = h
  }
  return out
}
