/** What the page of a house is told, on real databases: words, levels, the record and its thinning. */
import { expect, test } from 'vitest'
import type { ServiceParts } from '../../server/cli/runService.ts'
import type { HousePage } from '../../server/http/contract/page.ts'
import type { RecordAnswer } from '../../server/http/contract/record.ts'
import { createIntake } from '../../server/ingest/intake.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import { madeReadings, swing } from '../support/series.ts'
import { scratchService, settled } from '../support/service.ts'
import { storeTestHouse, TEST_HOUSE } from '../support/studiedHouse.ts'

const T0 = Date.UTC(2024, 4, 1)
const DAY = 86_400_000
const span = { from: T0, to: T0 + 40 * DAY, everyMs: 1_800_000 }
const READINGS = {
  'l1/air': madeReadings({ ...span, tempC: swing(19, 1), rhPct: swing(92, 3) }),
  'l2/air': madeReadings({ ...span, tempC: swing(19, 1), rhPct: swing(70, 3) }),
  'lo/air': madeReadings({ ...span, tempC: swing(20, 6), rhPct: swing(65, 10) }),
}

async function served(
  tree: HouseTree = TEST_HOUSE,
  readings: Parameters<typeof storeTestHouse>[2] = READINGS,
): Promise<ServiceParts> {
  const parts = await scratchService(() => span.to)
  await storeTestHouse(parts.db, tree, readings)
  return parts
}

const pageOf = async ({ app }: ServiceParts, units = 'us'): Promise<HousePage> =>
  (await settled(app, `/api/houses/test-house/page?units=${units}`)).json()
const recordOf = async ({ app }: ServiceParts, query: string): Promise<RecordAnswer> =>
  (await app.inject(`/api/houses/test-house/record?${query}`)).json()

test('the head names the worst spot and since when, letters go through the whole page, and units follow the person', async () => {
  const parts = await served()
  const page = await pageOf(parts)
  expect(page.verdict.sentence).toMatch(/^Wet|^Damp/)
  expect(page.verdict.sentence).toContain('(A, since')
  expect(page.spaces.flatMap(({ spots }) => spots.map(({ letter }) => letter))).toEqual(['A', 'B', 'C'])
  expect(page.tally.flatMap(({ letters }) => letters).sort()).toEqual(['A', 'B'])
  expect(page.spaces[0]!.spots[0]!.last).toMatchObject({ rhPct: expect.any(Number), dewPointC: expect.any(Number) })
  const si = await pageOf(parts, 'si')
  expect(JSON.stringify(page.findings)).toContain('°F')
  expect(JSON.stringify(si.findings)).not.toMatch(/°F|grains/)
})

test('nobody looked at the safety facts: encapsulation is never a yes, and what holds it is named', async () => {
  const { encapsulate, remedies } = await pageOf(await served())
  expect(encapsulate.answer).not.toBe('yes')
  const closing = remedies.find(({ remedy }) => remedy === 'close the space')!
  expect(closing.holds.map(({ topic }) => topic)).toContain('combustion')
})

test('a hard stop stays a hard stop however wet the house is', async () => {
  const flooded = {
    ...TEST_HOUSE,
    safety: { floodZone: 'yes' as const, combustionAppliances: 'no' as const, radonTest: 'no' as const },
  }
  const { encapsulate, remedies } = await pageOf(await served(flooded))
  expect(encapsulate.answer).not.toBe('yes')
  expect(remedies.find(({ remedy }) => remedy === 'close the space')!.holds).toMatchObject([
    { topic: 'flood zone', kind: 'stop' },
    {},
    {},
    {},
  ])
})

test('a house without readings says so, and what nobody regrets doing', async () => {
  const page = await pageOf(await served(TEST_HOUSE, {}))
  expect(page).toMatchObject({ recordTo: null, level: null, encapsulate: { answer: 'cannot tell' } })
  expect(page.verdict.sentence).toBe('Nothing has been measured under Invented house yet.')
  expect(page.encapsulate.instead.length).toBeGreaterThan(0)
})

test('a spot that is silent keeps the house from being called dry, and is named', async () => {
  const half = madeReadings({ ...span, to: T0 + 20 * DAY, tempC: swing(19, 1), rhPct: swing(40, 2) })
  const dry = madeReadings({ ...span, tempC: swing(19, 1), rhPct: swing(40, 2) })
  const tree = { ...TEST_HOUSE, invented: false }
  const page = await pageOf(await served(tree, { ...READINGS, 'l1/air': half, 'l2/air': dry }))
  expect(page.level).toBe('silent')
  expect(page.verdict.sentence).toContain('nothing is heard from A')
})

test('the record keeps peaks and gaps however few rows are asked for', async () => {
  const spike = {
    ...READINGS['l2/air'],
    rhPct: READINGS['l2/air'].rhPct!.slice(),
    tempC: READINGS['l2/air'].tempC!.slice(),
  }
  for (let i = 480; i < 484; i++) spike.rhPct![i] = 88 // two hours of a day, and back
  const from = span.from + 24 * DAY
  const keep = Array.from(spike.at.keys()).filter((i) => spike.at[i]! < from || spike.at[i]! > from + 6 * DAY)
  const gapped = {
    at: spike.at.filter((_, i) => keep.includes(i)),
    tempC: Float64Array.from(keep, (i) => spike.tempC![i]!),
    rhPct: Float64Array.from(keep, (i) => spike.rhPct![i]!),
  }
  const parts = await served(TEST_HOUSE, { ...READINGS, 'l2/air': gapped })
  await pageOf(parts)
  const coarse = await recordOf(parts, 'show=rhPct&rows=40')
  const line = coarse.lines.find(({ spot }) => spot === 'crawl/mid')!
  expect(Math.max(...line.max.map((value) => value ?? 0))).toBe(88)
  expect(line.mean.filter((value) => value === null).length).toBeGreaterThanOrEqual(5)
  expect(coarse.rain).toBeNull() // nobody measured it: not known, and not zero
})

test('a day shows every reading; dew point is that of the vapor; an empty span is refused', async () => {
  const parts = await served()
  await pageOf(parts)
  const day = await recordOf(parts, `show=tempC&from=${T0 + 5 * DAY}&to=${T0 + 6 * DAY}&rows=600`)
  const known = day.lines.find(({ spot }) => spot === 'crawl/low')!.mean.filter((value) => value !== null)
  expect(known.length).toBe(48)
  const dew = await recordOf(parts, 'show=dewPointC&rows=200')
  const [temp, dewPoint] = [await recordOf(parts, 'show=tempC&rows=200'), dew]
  const k = 100
  const at = (record: RecordAnswer) => record.lines.find(({ spot }) => spot === 'crawl/low')!.mean[k]!
  expect(at(dewPoint)).toBeLessThan(at(temp))
  expect(at(temp) - at(dewPoint)).toBeCloseTo((100 - 92) / 5, 0) // a rule of thumb near saturation: 5 points a kelvin
  const refused = await parts.app.inject(`/api/houses/test-house/record?from=${T0}&to=${T0}`)
  expect([refused.statusCode, refused.json().code]).toEqual([400, 'BAD_SPAN'])
})

test('wood and mold are estimates day by day, marked as such, with lines that name their harm', async () => {
  const parts = await served()
  await pageOf(parts)
  const wood = await recordOf(parts, 'show=woodMcPct')
  expect(wood.lines.map(({ spot, basis }) => [spot, basis])).toEqual([
    ['crawl/low', 'estimated'],
    ['crawl/mid', 'estimated'],
  ])
  expect(wood.thresholds.map(({ harm }) => harm)).toContain('decay')
  const [low, mid] = wood.lines.map(({ mean }) => mean.findLast((value) => value !== null)!)
  expect(low).toBeGreaterThan(mid!)
  expect((await recordOf(parts, 'show=moldIndex')).lines.length).toBe(2)
})

test('a browser that has the answer already is told so', async () => {
  const parts = await served()
  await pageOf(parts)
  const url = '/api/houses/test-house/record?rows=100'
  const first = await parts.app.inject(url)
  const again = await parts.app.inject({ url, headers: { 'if-none-match': first.headers.etag as string } })
  expect([again.statusCode, again.body]).toEqual([304, ''])
})

test('a station that reports by itself is stale six hours after its last reading, a file never', async () => {
  const stations = [
    { key: 'mill', name: 'Mill', kind: 'https', quantities: ['rainMm'] },
    { key: 'book', name: 'Rain book', kind: 'file', quantities: ['rainMm'] },
  ] satisfies HouseTree['stations']
  const parts = await served({ ...TEST_HOUSE, stations })
  expect((await pageOf(parts)).stations).toMatchObject([
    { key: 'mill', lastAt: null, stale: true },
    { key: 'book', lastAt: null, stale: false },
  ])
  const rain = (hoursAgo: number) => [{ at: span.to - hoursAgo * 3_600_000, rainMm: 1 }]
  const probeId = parts.db.raw.prepare("select probe_id from stations where key = 'mill'").pluck().get() as number
  const intake = createIntake(parts.db, { now: () => span.to })
  await intake.receive(probeId, rain(7))
  expect((await pageOf(parts)).stations[0]).toMatchObject({ lastAt: span.to - 7 * 3_600_000, stale: true })
  await intake.receive(probeId, rain(5))
  expect((await pageOf(parts)).stations[0]).toMatchObject({ stale: false })
})

test('a house whose loggers report all the time is told of, and is not worked out again with every reading', async () => {
  const parts = await served()
  const page = await pageOf(parts)
  const intake = createIntake(parts.db, { now: () => span.to })
  const probeId = parts.db.raw.prepare(
    "select p.id from probes p join loggers l on l.id = p.logger_id where l.key = 'l1'",
  )
  const madeAt = () => parts.db.raw.prepare('select max(computed_at), count(*) from findings').raw().get()
  const made = madeAt()
  for (let i = 1; i <= 5; i++) {
    await intake.receive(probeId.pluck().get() as number, [{ at: page.recordTo! + i, tempC: 19, rhPct: 92 }])
    expect((await parts.app.inject('/api/houses/test-house/page?units=us')).statusCode).toBe(200)
  }
  expect(madeAt()).toEqual(made)
})
