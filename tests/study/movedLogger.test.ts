/** What a house is told of a logger that came and went, and of the hours in which somebody was inside. */
import { expect, test } from 'vitest'
import { findProbesOfHouse } from '../../server/store/houses.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import { enrollLoggers } from '../../server/store/loggerLife.ts'
import { placeLogger } from '../../server/store/loggerPlaces.ts'
import type { Database } from '../../server/store/open.ts'
import { readHouse } from '../../server/store/readHouse.ts'
import { storeReadings } from '../../server/store/readings.ts'
import { refreshHourly } from '../../server/store/refreshHourly.ts'
import { storeHouse } from '../../server/store/storeHouse.ts'
import { stepInOrOut } from '../../server/store/visits.ts'
import { readHouseRecord } from '../../server/study/houseRecord.ts'
import { pageSpaces } from '../../server/study/view/pageSpots.ts'
import { recordView } from '../../server/study/view/recordView.ts'
import { scratchDatabase } from '../support/database.ts'
import { DAY, HOUR, MINUTE, madeReadings, swing } from '../support/series.ts'
import { stepsOf, TEST_HOUSE } from '../support/studiedHouse.ts'

const NOW = Date.UTC(2026, 5, 1, 16, 30, 40) // 12:30:40 in New York, 09:30:40 in Los Angeles
const at = (now = NOW) => ({ now, who: 'tester' })
const EAST: HouseTree = { ...TEST_HOUSE, key: 'east', name: 'East house', invented: false, loggers: [] }
const WEST: HouseTree = { ...EAST, key: 'west', name: 'West house', timeZone: 'America/Los_Angeles' }
const LOW = [{ probe: 'air', spot: 'crawl/low' }]

async function twoHouses(): Promise<Database> {
  const db = scratchDatabase()
  for (const house of [EAST, WEST]) await storeHouse(db, house, { ...at(), replace: false })
  await enrollLoggers(db, { key: 'lg-1', count: 1, probes: ['air'], hasRadio: true, intervalS: 300 }, at())
  return db
}

/** Temperatures that the page names last, and that the chart draws day by day. */
async function shown(db: Database, key: string): Promise<{ last: number | null; days: Set<number> }> {
  const tree = (await readHouse(db, key))!
  const { id } = db.raw.prepare('select id from houses where key = ?').get(key) as { id: number }
  const probeIds = new Map((await findProbesOfHouse(db, id)).map((one) => [`${one.logger}/${one.probe}`, one.id]))
  const [space] = await pageSpaces(db, { tree, probeIds, letters: new Map(), levels: null, asOf: NOW, units: 'si' })
  const view = (await recordView(db, key, { show: 'tempC', from: null, to: null, rows: 4, risk: null }))!
  const drawn = view.lines.flatMap(({ min, max }) => [...min, ...max]).filter((value) => value !== null)
  return { last: space!.spots[0]!.last?.tempC ?? null, days: new Set(drawn) }
}

test('a moved logger never smears two houses: hours, the record and last values part at the minute of the move', async () => {
  const db = await twoHouses()
  const from = Date.UTC(2026, 4, 20, 16)
  const move = NOW - 3 * DAY // 12:30 in the east, in the middle of an hour
  await placeLogger(db, 'lg-1', { house: 'east', at: '2026-05-20T12:00', probes: LOW }, at(from))
  await placeLogger(db, 'lg-1', { house: 'west', probes: LOW }, at(move))
  const readings = madeReadings({
    from,
    to: NOW,
    everyMs: 5 * MINUTE,
    tempC: (t) => (t < move ? 12 : 24),
    rhPct: swing(70, 3),
  })
  await storeReadings(db, stepsOf(1, readings))
  await refreshHourly(db)
  for (const [key, tempC, hours] of [
    ['east', 12, 9 * 24],
    ['west', 24, 3 * 24],
  ] as const) {
    const record = (await readHouseRecord(db, key))!
    const spot = record.spots.find(({ path }) => path === 'crawl/low')!
    const known = [...spot.hours.tempC].filter((value) => !Number.isNaN(value))
    expect([new Set(known), known.length], key).toEqual([new Set([tempC]), hours])
    const { last, days } = await shown(db, key)
    expect([last, days], key).toEqual([tempC, new Set([tempC])])
  }
})

test('an open visit leaves out what was read until now, and after 12 hours no more', async () => {
  const db = await twoHouses()
  await placeLogger(db, 'lg-1', { house: 'east', at: '2026-05-20T12:00', probes: LOW }, at())
  await stepInOrOut(db, 'east', { step: 'in' }, at())
  const leftOut = async (to: number) => {
    const from = NOW - DAY
    await storeReadings(
      db,
      stepsOf(1, madeReadings({ from, to, everyMs: 10 * MINUTE, tempC: swing(18, 1), rhPct: swing(70, 2) })),
    )
    await refreshHourly(db)
    const { spots } = (await readHouseRecord(db, 'east'))!
    const { at: hours, count, vaporPressurePa } = spots.find(({ path }) => path === 'crawl/low')!.hours
    const out = [...hours].filter((_, i) => count[i]! > 0 && Number.isNaN(vaporPressurePa[i]!))
    return out.map((hour) => (hour - Math.floor(NOW / HOUR) * HOUR) / HOUR)
  }
  expect(await leftOut(NOW + 3 * HOUR)).toEqual([0, 1, 2, 3])
  expect(await leftOut(NOW + 20 * HOUR)).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12])
})
