/** Weather of a typical year from files in the open layouts. */
import { createReadStream, existsSync } from 'node:fs'
import { resolve } from 'node:path'
import { expect, test } from 'vitest'
import { vaporPressurePa } from '../../server/physics/air.ts'
import { readTypicalYear } from '../../server/study/balance/typicalYear.ts'

const AT = { timeZone: 'America/New_York', now: Date.UTC(2026, 0, 1) }

/** EPW layout (EnergyPlus Auxiliary Programs, weather data format): 8 lines of header, 35 fields a row, hours 1 to 24. */
function epw(change: (row: string[], hour: number) => string[] | null = (row) => row): string {
  const lines = ['LOCATION,Made up,-,USA,TMY,000000,36.1,-80.0,-5.0,270.0']
  for (const name of ['DESIGN CONDITIONS,0', 'TYPICAL/EXTREME PERIODS,0', 'GROUND TEMPERATURES,0', 'HOLIDAYS,No,0,0,0'])
    lines.push(name)
  lines.push('COMMENTS 1,made', 'COMMENTS 2,made', 'DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31')
  for (let h = 0; h < 8760; h++) {
    const day = new Date(Date.UTC(2025, 0, 1) + h * 3_600_000)
    const month = day.getUTCMonth() + 1
    const row = Array.from({ length: 35 }, () => '0')
    row.splice(0, 6, String(1970 + month), String(month), String(day.getUTCDate()), String((h % 24) + 1), '60', 'A7')
    row[6] = (10 + (h % 24) / 2).toFixed(1)
    row[7] = '8.0'
    row[8] = String(60 + (h % 24))
    row[33] = h % 240 < 3 ? '2.0' : '0.0'
    const changed = change(row, h)
    if (changed !== null) lines.push(changed.join(','))
  }
  return `${lines.join('\n')}\n`
}

const source = (text: string) => ({
  name: 'made.epw',
  open: async function* () {
    yield new TextEncoder().encode(text)
  },
})

test('hours stand in UTC from the end of the first hour of the station, with rain', async () => {
  const year = await readTypicalYear(source(epw()), AT)
  expect(year.tempC).toHaveLength(8760)
  expect(year.startAt).toBe(Date.UTC(2025, 0, 1, 6)) // 01:00 at five hours behind UTC
  expect([year.tempC[0], year.tempC[23]]).toEqual([10, 21.5])
  expect(year.vaporPressurePa[23]).toBeCloseTo(vaporPressurePa(21.5, 83), 3)
  expect(year.rainMm!.reduce((sum, mm) => sum + mm, 0)).toBeCloseTo(37 * 6, 6)
})

test('a short gap is drawn straight; missing rain is not known, and never dry', async () => {
  const gap = epw((row, h) => (h === 100 || h === 101 ? row.with(6, '99.9').with(8, '999') : row.with(33, '999')))
  const year = await readTypicalYear(source(gap), AT)
  const [before, after] = [year.tempC[99]!, year.tempC[102]!]
  expect(year.tempC[100]).toBeCloseTo(before + (after - before) / 3, 6)
  expect(year.rainMm).toBeNull()
})

test.each([
  ['half a year', epw((row, h) => (h < 4000 ? row : null)), /covers \d+ days; a typical year has 365/],
  ['a long gap', epw((row, h) => (h > 99 && h < 120 ? row.with(8, '999') : row)), /no humidity for 20 hours in a row/],
  ['no weather at all', 'a,b\n1,2\n', /made\.epw/],
])('%s is refused with a sentence', async (_, text, sentence) => {
  await expect(readTypicalYear(source(text), AT)).rejects.toThrow(sentence)
})

const REAL = resolve(import.meta.dirname, '../../../shared/data/weather/greensboro-nc-tmy3.csv.gz')
test.runIf(existsSync(REAL))('a TMY3 file is read, and rain of eight meters a year is not believed', async () => {
  const file = { name: 'greensboro-nc-tmy3.csv.gz', open: () => createReadStream(REAL) }
  const year = await readTypicalYear(file, AT)
  expect(year.tempC).toHaveLength(8760)
  expect(year.rainMm).toBeNull()
  const meanC = year.tempC.reduce((sum, t) => sum + t, 0) / 8760
  expect(meanC).toBeGreaterThan(13) // Greensboro's normal is 14.7 °C (from memory)
  expect(meanC).toBeLessThan(16.5)
})
