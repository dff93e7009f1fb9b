import { existsSync, readFileSync } from 'node:fs'
import { gunzipSync } from 'node:zlib'
import { expect, test } from 'vitest'
import { clockShiftMarks } from '../../server/series/clockQuality.ts'
import { localDays } from '../../server/series/days.ts'
import { movedMarks, sunStruckMarks, unitSwapMarks } from '../../server/series/groupQuality.ts'
import { buildHourly, denseHours, HOUR_MS } from '../../server/series/hourly.ts'
import { gapMarks, stuckMarks } from '../../server/series/quality.ts'
import { columns, DAY } from '../support/series.ts'

// A vented attic with four loggers and a weather station, 19 months: TRH-database, house R2, CC BY 4.0. Too large to copy.
const FOLDER = new URL('../../../shared/data/indoor/house-r2-attic-1h/', import.meta.url)
const there = existsSync(FOLDER)
if (!there) console.warn('Real attic loggers are left out: ../shared/data is not here.')

const NAMES = ['roofmiddle_airmiddle', 'roofmiddle_insulationtop', 'roofwest_infrontofeave', 'roofwest_outside', 'fmi']

function attic() {
  const series = NAMES.map((key) => {
    const rows = gunzipSync(readFileSync(new URL(`${key}.csv.gz`, FOLDER)))
      .toString()
      .trim()
      .split('\n')
      .slice(1)
    const cells = rows.map((row) => row.split(','))
    const readings = columns({
      at: cells.map((row) => Date.parse(`${row[0]!.replace(' ', 'T')}+02:00`)),
      tempC: cells.map((row) => Number(row[1])),
      rhPct: cells.map((row) => Number(row[2])),
    })
    return { key, readings, hourly: buildHourly(readings) }
  })
  const from = Math.min(...series.map(({ hourly }) => hourly.at[0]!))
  const to = Math.max(...series.map(({ hourly }) => hourly.at[hourly.at.length - 1]!)) + HOUR_MS
  const hours = series.map(({ key, hourly }) => ({ key, tempC: denseHours(hourly, { from, to }).tempC }))
  return { series, from, days: localDays({ from, hours: (to - from) / HOUR_MS }, 'Europe/Helsinki'), hours }
}

test.runIf(there)('clean loggers of a real attic carry no mark in 19 months', () => {
  const { series, from, days, hours } = attic()
  for (const { readings } of series) expect([...gapMarks(readings.at), ...stuckMarks(readings)]).toEqual([])
  const group = hours.slice(0, 4)
  expect([...unitSwapMarks(group, from), ...clockShiftMarks(group, from), ...movedMarks(group, days)]).toEqual([])
})

test.runIf(there)(
  'the probe outside in the sun is seen against the station, as the description of the data says',
  () => {
    const { from, hours } = attic()
    const marks = sunStruckMarks(hours[3]!, from, hours[4]!.tempC)
    expect(Math.max(...marks.map(({ numbers }) => numbers.topTempC!))).toBeCloseTo(39.9, 1)
  },
)

test.runIf(there)('a clock put five hours off in a real attic is found within four days, on the right logger', () => {
  const { from, hours } = attic()
  const group = hours.slice(0, 3)
  const right = group[1]!.tempC
  const changed = 5000
  group[1] = { key: 'shifted', tempC: right.map((t, i) => (i >= changed && i < 8000 ? right[i - 5]! : t)) }
  const marks = clockShiftMarks(group, from)
  expect(marks.map(({ probe }) => probe)).toContain('shifted')
  expect(marks[0]!.numbers.shiftHours).toBe(5)
  expect(Math.abs(marks[0]!.from - (from + changed * HOUR_MS))).toBeLessThan(4 * DAY)
})
