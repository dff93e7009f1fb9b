import { expect, test } from 'vitest'
import type { HousePage } from '../../../server/http/contract/page.ts'
import type { RecordAnswer } from '../../../server/http/contract/record.ts'
import { dayAfter, monthsOn } from '../../../web/drawing/days.ts'
import { levelOn, linesOf, type PageSpot } from '../../../web/drawing/onDay.ts'
import { formFor, sheetFor, spotPlace } from '../../../web/drawing/sheet.ts'
import { FACTS } from './support.ts'

const DAY = 86_400_000
const START = Date.UTC(2026, 0, 1)

test('page keys go to the same day of the next month, or to its last', () => {
  const on = (...date: [number, number, number]) => Date.UTC(...date)
  expect(monthsOn(on(2026, 0, 15), 1)).toBe(on(2026, 1, 15))
  expect(monthsOn(on(2026, 0, 31), 1)).toBe(on(2026, 1, 28))
  expect(monthsOn(on(2024, 2, 31), -1)).toBe(on(2024, 1, 29))
  expect(monthsOn(on(2026, 11, 5), 1)).toBe(on(2027, 0, 5))
})

test('after a work is the day before the next one; works of one week stand together; else the end', () => {
  const works = [{ at: 10 * DAY }, { at: 12 * DAY }, { at: 60 * DAY }]
  expect(dayAfter(works, 10 * DAY, 100 * DAY)).toBe(59 * DAY)
  expect(dayAfter(works, 60 * DAY, 100 * DAY)).toBe(100 * DAY - 1)
})

const spot = (more: Partial<PageSpot> = {}): PageSpot => ({
  spot: 'crawl/a',
  letter: 'A',
  name: 'Corner',
  level: 'dry',
  since: null,
  lastHeardAt: START + 9 * DAY,
  because: '',
  guardsAgainst: '',
  possible: [],
  notJudged: [],
  last: { at: START + 9 * DAY, tempC: 16, rhPct: 70, dewPointC: 10, vaporPressurePa: 1200, woodMcPct: 12.3 },
  runs: [{ level: 'wet', from: '2026-01-02', to: '2026-01-04', days: 3 }],
  ...more,
})
const page = { recordTo: START + 10 * DAY, asOf: START + 10 * DAY, house: { timeZone: 'UTC' } } as HousePage
const record = (value: number, basis: 'measured' | 'estimated' = 'measured'): RecordAnswer => ({
  show: 'dewPointC',
  from: START,
  to: START + 10 * DAY,
  recordFrom: START,
  recordTo: START + 10 * DAY,
  bucketMs: DAY,
  at: Array.from({ length: 10 }, (_, i) => START + i * DAY),
  lines: [
    {
      spot: 'crawl/a',
      letter: 'A',
      name: 'Corner',
      role: 'inside',
      basis,
      min: [],
      mean: [value, null, value, value, value, value, value, value, value, value],
      max: [],
    },
  ],
  rain: null,
  leftOut: [],
  thresholds: [],
})
const NONE = { dewPointC: null, rhPct: null, woodMcPct: null }

test('a level is that of its run on a day of the past, and the one told now at the end', () => {
  expect([1, 3, 5].map((day) => levelOn(spot(), START + day * DAY + 1, page))).toEqual(['wet', 'wet', null])
  expect(levelOn(spot(), START + 10 * DAY, page)).toBe('dry')
})

test('values are those of the day; a day without readings has none, and wood is shown where pins read it', () => {
  const past = (day: number, wood: RecordAnswer | null) =>
    linesOf(spot(), START + day * DAY + 1, page, { dewPointC: record(10), rhPct: record(80), woodMcPct: wood }, 'si')
  expect(past(2, record(15))).toEqual(['15.0 % wood', 'dew point 10.0 °C', '80 % RH'])
  expect(past(2, record(15, 'estimated'))).toEqual(['dew point 10.0 °C', '80 % RH'])
  expect(past(1, record(15))).toEqual([])
  expect(linesOf(spot(), START + 10 * DAY, page, NONE, 'us')).toEqual(['12.3 % wood', 'dew point 50.0 °F', '70 % RH'])
})

test('a silent spot says since when before its last values', () => {
  expect(linesOf(spot({ level: 'silent' }), START + 10 * DAY, page, NONE, 'si')[0]).toBe('last heard 24 h ago')
})

test('forms follow the room; a spot hangs at its place along the house and at its height', () => {
  expect([1172, 892, 690, 360].map(formFor)).toEqual(['wide', 'middle', 'phone', 'phone'])
  const sheet = sheetFor('wide', 1170, FACTS)
  const at = (x: number, heightM: number) =>
    spotPlace(sheet, { lengthM: 10, heightM: 1 }, { x, heightM }, { i: 0, of: 1 })
  expect(at(0, 0.5).x).toBeLessThan(at(5, 0.5).x)
  expect(at(5, 0.5).x).toBeCloseTo((sheet.left + sheet.right) / 2)
  expect(at(5, 0.1).y).toBeGreaterThan(at(5, 0.9).y)
  for (const place of [at(-3, -1), at(40, 9)]) {
    expect(place.x).toBeGreaterThan(sheet.left)
    expect(place.x).toBeLessThan(sheet.right)
    expect(place.y).toBeGreaterThan(sheet.joistBottom)
    expect(place.y).toBeLessThan(sheet.ground)
  }
})
