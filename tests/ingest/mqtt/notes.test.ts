/** Every figure of firmware-notes that can be reckoned is reckoned again, and what it shows as JSON is read. */
import { readFileSync } from 'node:fs'
import { resolve } from 'node:path'
import { expect, test } from 'vitest'
import { readReadings } from '../../../server/ingest/mqtt/readingsPayload.ts'
import { type Salt, saltRhPct } from '../../../server/physics/salts.ts'
import { QUANTITY_NAMES } from '../../../server/series/quantities.ts'
import { vaporUncertaintyPa } from '../../../server/series/sensorUncertainty.ts'

const notes = readFileSync(resolve(import.meta.dirname, '../../../firmware-notes/README.md'), 'utf8')

/** Rows below the heading that begins with these words. */
function table(heading: string): string[][] {
  const [, below = ''] = notes.split(`\n| ${heading}`)
  const rows = below.split('\n').slice(2)
  const end = rows.findIndex((row) => !row.startsWith('|'))
  return rows.slice(0, end).map((row) =>
    row
      .split('|')
      .slice(1, -1)
      .map((cell) => cell.trim()),
  )
}

const used = new Map(table('what | times a day').map(([what, , , , mAh]) => [what!, Number(mAh)]))

test('the power budget adds up, row by row', () => {
  const rows = table('what | times a day')
  expect(rows).toHaveLength(7)
  for (const [what, times, mA, s, mAh] of rows) {
    expect((Number(times) * Number(mA) * Number(s)) / 3600, what).toBeCloseTo(Number(mAh), 3)
  }
})

test('and so do the years from one set of cells', () => {
  const always = [...used].filter(([what]) => !what.includes('radio')).reduce((sum, [, mAh]) => sum + mAh, 0)
  const rows = table('sends | mAh a day')
  expect(rows).toHaveLength(4)
  for (const [sends, mAh, years] of rows) {
    expect(always + used.get(sends!)!, sends).toBeCloseTo(Number(mAh), 3)
    expect(2100 / Number(mAh) / 365.25, sends).toBeCloseTo(Number(years), 1)
  }
})

test('the accuracy classes are those that the analysis reckons with', () => {
  const rows = table('temperature ± K')
  expect(rows).toHaveLength(4)
  for (const [tempC, rhPct, pa] of rows) {
    expect(Math.round(vaporUncertaintyPa(18, 80, { tempC: Number(tempC), rhPct: Number(rhPct) }))).toBe(Number(pa))
  }
})

test('the values over salts are those of the salt check', () => {
  const rows = table('salt | 15 °C')
  expect(rows).toHaveLength(4)
  for (const [salt, ...values] of rows) {
    expect(values.map(Number)).toEqual([15, 20, 25].map((tempC) => Number(saltRhPct(salt as Salt, tempC).toFixed(1))))
  }
})

test('the payload that it shows is understood, and every quantity is named', () => {
  const [, json = ''] = /```json\n([^`]+)```/.exec(notes) ?? []
  expect(readReadings(Buffer.from(json), Date.now())).toMatchObject({ ok: true, message: { refused: [] } })
  for (const name of QUANTITY_NAMES) expect(notes).toContain(`\`${name}\``)
})
