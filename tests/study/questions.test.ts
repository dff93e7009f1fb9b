/** Each question on air made by hand, whose answer is known, through readings in a real database file. */
import { expect, test } from 'vitest'
import { dewPointC, rhPctFromVaporPressure, saturationVaporPressurePa } from '../../server/physics/air.ts'
import type { ReadingColumns } from '../../server/series/quantities.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import type { Finding, Question } from '../../server/study/finding.ts'
import type {
  CondensationData,
  FreezingData,
  HouseLevelData,
  OutdoorAirData,
  PeriodLevelData,
  RemedyData,
  StormsData,
  SuspicionData,
  WoodData,
} from '../../server/study/findingData.ts'
import { findingsOf } from '../../server/study/findings.ts'
import { wordedFinding } from '../../server/study/wording.ts'
import { scratchDatabase } from '../support/database.ts'
import { HOUR } from '../support/series.ts'
import { storeTestHouse, TEST_HOUSE } from '../support/studiedHouse.ts'

const START = Date.UTC(2024, 0, 1, 5) // 1 January 2024, 00:00 in New York
type Of = (hour: number) => number
const always =
  (value: number): Of =>
  () =>
    value

/** Hourly; a hair of movement keeps an even value from looking like a stuck sensor. */
function air(days: number, tempC: Of, vaporPa: Of, more: Record<string, Of> = {}): ReadingColumns {
  const at = Float64Array.from({ length: days * 24 }, (_, h) => START + h * HOUR)
  const temp = at.map((_, h) => tempC(h) + (h % 2 === 0 ? 0.01 : -0.01))
  const rhPct = at.map((_, h) => rhPctFromVaporPressure(temp[h]!, vaporPa(h)))
  const others = Object.entries(more).map(([name, of]) => [name, at.map((_, h) => of(h))])
  return { at, tempC: temp, rhPct, ...Object.fromEntries(others) }
}

async function study(readings: Record<string, ReadingColumns>, change: Partial<HouseTree> = {}, settings = '{}') {
  const db = scratchDatabase()
  await storeTestHouse(db, { ...TEST_HOUSE, ...change }, readings)
  db.raw.prepare('update houses set settings = ?').run(settings)
  const findings = (await findingsOf(db, TEST_HOUSE.key, { now: 0, asOf: null }))!
  // Whatever the answer, every number finds its place in both unit systems.
  for (const finding of findings) {
    for (const units of ['us', 'si'] as const)
      expect(JSON.stringify(wordedFinding(finding, units))).not.toMatch(/\{\w+\}/)
  }
  return (question: Question, subject: Partial<Finding['subject']> = {}) =>
    findings.filter(
      (finding) =>
        finding.question === question &&
        Object.entries(subject).every(([name, value]) => finding.subject[name as 'spot'] === value),
    )
}

const LOW = 'crawl/low'
const halfWay = saturationVaporPressurePa(18) / 2
const crawl = (more: Partial<HouseTree['spaces'][number]>, coldSurface?: object): HouseTree['spaces'] => [
  {
    ...TEST_HOUSE.spaces[0]!,
    ...more,
    spots: [{ key: 'low', name: 'Low corner', ...(coldSurface && { coldSurface }) }, TEST_HOUSE.spaces[0]!.spots[1]!],
  } as HouseTree['spaces'][number],
  TEST_HOUSE.spaces[1]!,
]

const STORM_DAYS = [20, 35, 50]
const stormHour = (h: number) => STORM_DAYS.some((day) => h === day * 24 + 12)
const afterStorm = (h: number) => STORM_DAYS.some((day) => h >= day * 24 + 12 && h < day * 24 + 12 + 72)
/** An inch in an hour on three days; 300 Pa more for the three days after each, and water at the low corner. */
const rainy = (risePa: number) => ({
  'l1/air': air(65, always(18), (h) => halfWay + 100 + (afterStorm(h) ? risePa : 0), {
    waterPresent: (h) => (risePa > 0 && afterStorm(h) ? 1 : 0),
  }),
  'lo/air': air(65, always(14), () => halfWay, { rainMm: (h) => (stormHour(h) ? 25.4 : 0) }),
})

test('storms: date, inches, response and liquid of each, and a summary per inch', async () => {
  const of = await study(rainy(300))
  const list = of('storms').find(({ subject }) => subject.spot === undefined)!
  const { storms } = list.data as StormsData
  expect(storms.map(({ date, rainMm }) => [date, Math.round(rainMm * 10) / 10])).toEqual([
    ['2024-01-21', 25.4],
    ['2024-02-05', 25.4],
    ['2024-02-20', 25.4],
  ])
  for (const { responses } of storms) {
    const [low] = responses
    expect(low).toMatchObject({ spot: LOW, liquid: 'seen', clear: true })
    expect(low!.changePa).toBeCloseTo(300, -1)
  }
  const [summary] = of('storms', { spot: LOW })
  expect(summary!.numbers.clear!.value).toBe(3)
  expect(summary!.numbers.perRain!.value * 25.4).toBeCloseTo(300, -1)
  expect(wordedFinding(summary!, 'us').sentence).toContain('grains/lb per inch of rain')
})

test('reasoning: liquid after rain comes first; without rise or liquid rain is not suspected', async () => {
  const wet = await study(rainy(300))
  const suspected = wet('reasoning', { source: 'rain or ground water' })[0]!
  expect((suspected.data as SuspicionData).certainty).toBe('likely')
  expect(suspected.evidenceFor.join(' ')).toContain('Liquid water was seen')
  expect(wet('reasoning')[0]!.sentence).toContain('Water comes in and is dealt with first')
  const dry = await study(rainy(0))
  const cleared = dry('reasoning', { source: 'rain or ground water' })[0]!
  expect((cleared.data as SuspicionData).certainty).toBe('unlikely')
  expect(cleared.evidenceAgainst.join(' ')).toContain('after 0 of 3 rains')
})

test('without a rain record nobody says that it did not rain', async () => {
  const { 'l1/air': inside } = rainy(300)
  const readings = { 'l1/air': inside, 'lo/air': air(65, always(14), always(halfWay)) }
  const of = await study(readings, { works: [{ key: 'cover', kind: 'ground cover', from: '2024-02-05' }] })
  expect(of('storms')).toMatchObject([{ certainty: 'cannot tell', missing: [expect.stringContaining('rain')] }])
  expect(of('baseline')[0]!.sentence).toContain('rain not known')
  for (const question of ['storms', 'reasoning', 'matched days'] as const) {
    expect(of(question)[0]!.evidenceAgainst.join(' '), question).toContain('Rain not known: no gauge')
  }
})

test.each([
  ['follows outdoor air', 0, 1],
  ['moister than outdoor air', 300, 1],
  ['goes its own way', 0, 0.1],
])('coupling: air that %s is told apart', async (verdict, excessPa, share) => {
  // Fronts of a few days; dew points from 4 to 12 °C.
  const dewC = (h: number) => 8 + 4 * Math.sin((2 * Math.PI * h) / 130) * Math.cos((2 * Math.PI * h) / 217)
  const outdoor: Of = (h) => saturationVaporPressurePa(dewC(h))
  const inside: Of = (h) => saturationVaporPressurePa(8 + share * (dewC(h) - 8)) + excessPa
  const of = await study({ 'l1/air': air(90, always(18), inside), 'lo/air': air(90, always(15), outdoor) })
  const [found] = of('outdoor coupling', { spot: LOW })
  expect((found!.data as { verdict: string }).verdict).toBe(verdict)
  expect(found!.numbers.excess!.value).toBeGreaterThan(excessPa - 25)
  expect(found!.numbers.excess!.value).toBeLessThan(excessPa + 25)
})

test('wood at 80 % RH and 70 °F settles at 16.0 % (Wood Handbook), and pins of a visit set it', async () => {
  const steady = { 'l1/air': air(120, always(21.1), always(0.8 * saturationVaporPressurePa(21.1))) }
  const plain = await study(steady)
  const woodOf = (of: typeof plain, topic: WoodData['topic']) =>
    of('wood and mold', { spot: LOW }).find(({ data }) => (data as WoodData).topic === topic)!
  const wood = woodOf(plain, 'wood moisture')
  expect(wood.numbers.now!.value).toBeGreaterThan(15.8)
  expect(wood.numbers.now!.value).toBeLessThan(16.2)
  expect(wood.numbers.now!.high! - wood.numbers.now!.value).toBeCloseTo(2, 6)
  expect(wood.certainty).toBe('weak')
  // A surface 2 K colder in the same air: e over saturation there.
  const colder = (100 * 0.8 * saturationVaporPressurePa(21.1)) / saturationVaporPressurePa(19.1)
  const surface = woodOf(plain, '30-day surface').numbers.now!
  expect([surface.low, surface.high].map((rh) => Math.round(rh! * 10) / 10)).toEqual([80, Math.round(colder * 10) / 10])
  const mold = woodOf(plain, 'mold index').numbers.most!
  expect(mold.low).toBeLessThan(mold.high!)

  const visit = (spot: string, value: number) => ({
    at: '2024-04-29T20:00', // the last hours of the record
    readings: [{ spot, quantity: 'woodMcPct' as const, value, woodTempC: 21.1 }],
  })
  for (const spot of [LOW, 'crawl/mid']) {
    const pinned = woodOf(await study(steady, { surveys: [visit(spot, 22)] }), 'wood moisture')
    expect(pinned.numbers.now!.value).toBeGreaterThan(21)
    expect(pinned.evidenceFor[0]).toContain('2024-04-29')
    expect(pinned.certainty).toBe('likely')
  }
})

test('condensation: hours with a dew point over the named surface are counted day by day', async () => {
  // Ten hours a day at a dew point of 15 °C, the others at 5 °C, over a duct jacket of 10 °C.
  const dew: Of = (h) => saturationVaporPressurePa(h % 24 < 10 ? 15 : 5)
  const of = await study(
    { 'l1/air': air(31, always(18), dew) },
    { spaces: crawl({}, { name: 'Duct jacket', tempC: 10 }) },
  )
  const [duct] = of('condensation', { spot: LOW })
  expect(duct!.numbers.condensing!.value).toBe(310)
  expect(duct!.numbers.wetDays!.value).toBe(31)
  expect((duct!.data as CondensationData).months).toEqual([{ month: '2024-01', hours: 310, wetDays: 31 }])
  expect(duct!.sentence).toContain('Duct jacket')
})

test('condensation: a surface without a temperature, or none at all, is "cannot tell"', async () => {
  const readings = { 'l1/air': air(31, always(18), always(halfWay)) }
  const unknown = await study(readings, { spaces: crawl({}, { name: 'Duct jacket' }) })
  expect(unknown('condensation')).toMatchObject([{ certainty: 'cannot tell', subject: { surface: 'Duct jacket' } }])
  const none = await study(readings)
  expect(none('condensation')).toMatchObject([{ certainty: 'cannot tell', subject: { space: 'crawl' } }])
})

test('condensation: a measured surface decides, whatever was entered', async () => {
  const readings = { 'l1/air': air(31, always(18), () => saturationVaporPressurePa(12), { surfaceTempC: always(11) }) }
  const of = await study(readings, { spaces: crawl({}, { name: 'Pipe', tempC: 16 }) })
  const [pipe] = of('condensation')
  expect(pipe).toMatchObject({ certainty: 'shown', numbers: { condensing: { value: 31 * 24 } } })
})

test('freezing: a night of five hours at -2 °C is one frost, at its local time', async () => {
  const night = (h: number) => h >= 10 * 24 + 2 && h < 10 * 24 + 7
  const of = await study({ 'l1/air': air(30, (h) => (night(h) ? -2 : 6), always(300)) })
  const [frost] = of('freezing')
  const { events } = frost!.data as FreezingData
  expect(events).toEqual([expect.objectContaining({ from: START + (10 * 24 + 2) * HOUR, spots: [LOW] })])
  expect(events[0]!.lowestTempC).toBeCloseTo(-2, 1)
  expect(frost!.evidenceFor).toEqual(['Frost from 2024-01-11 02:00 at Low corner.'])
  expect(frost!.sentence).toContain('it froze once')
})

test('outdoor air: a month 400 Pa below the space would have dried it, one above would have wetted it', async () => {
  const outdoor: Of = (h) => halfWay + (h < 31 * 24 ? -400 : 400)
  const of = await study({ 'l1/air': air(60, always(18), always(halfWay)), 'lo/air': air(60, always(16), outdoor) })
  const [found] = of('outdoor air')
  const { months } = found!.data as OutdoorAirData
  expect(months).toMatchObject([
    { month: '2024-01', would: 'dry', dryingShare: 1, wettingShare: 0 },
    { month: '2024-02', would: 'wet', dryingShare: 0, wettingShare: 1 },
  ])
  expect(found!.sentence).toContain('would have dried it in Jan 2024; it would have wetted it in Feb 2024')
})

test('level: liquid is wet, and shown; air at half RH like outdoors is dry, and says what was not judged', async () => {
  const outdoor = { 'lo/air': air(40, always(18), always(halfWay)) }
  const wet = await study({ ...outdoor, 'l1/air': air(40, always(18), always(halfWay), { waterPresent: always(1) }) })
  const [house] = wet('level')
  expect(house).toMatchObject({ certainty: 'shown', subject: {} })
  expect(house!.sentence).toContain('Wet: do something now')
  expect((house!.data as HouseLevelData).spaces[0]!.spots[0]).toMatchObject({
    spot: LOW,
    level: 'wet',
    since: '2024-01-01',
  })
  const dry = await study({
    ...outdoor,
    'l1/air': air(40, always(18), always(halfWay)),
    'l2/air': air(40, always(18), always(halfWay)),
  })
  expect(dry('level')[0]!.sentence).toContain('Dry')
  expect(dry('level', { spot: LOW })[0]!.evidenceAgainst.join(' ')).toContain('no sensor for it')
})

test('level: the line for closed air holds from the day the vents were sealed, not before', async () => {
  const moist = always(0.7 * saturationVaporPressurePa(18)) // 70 %: over the closed line of 65 %, no line of a vented space
  const of = await study(
    {
      'l1/air': air(60, always(18), moist),
      'l2/air': air(60, always(18), moist),
      'lo/air': air(60, always(18), moist),
    },
    { works: [{ key: 'lids', kind: 'vents sealed', from: '2024-02-01' }], spaces: crawl({ kind: 'closed' }) },
  )
  const days = ['P0', 'P1'].map((period) => (of('level', { space: 'crawl', period })[0]!.data as PeriodLevelData).days)
  expect(days[0]).toMatchObject({ dry: 31, damp: 0 })
  expect(days[1]).toMatchObject({ dry: 0, damp: 28 })
})

test("level: the house's own threshold moves the line", async () => {
  const damp = { 'l1/air': air(60, always(21.1), always(0.72 * saturationVaporPressurePa(21.1))) } // wood about 13.6 %
  const levelOf = (of: Awaited<ReturnType<typeof study>>) =>
    (of('level')[0]!.data as HouseLevelData).spaces[0]!.spots[0]!.level
  expect(levelOf(await study(damp))).toBe('dry')
  expect(levelOf(await study(damp, {}, '{"woodDampPct":13}'))).toBe('damp')
})

test('baseline: what has been seen and what is lacking, counted to the first work', async () => {
  const of = await study(rainy(0), { works: [{ key: 'drain', kind: 'yard drain', from: '2024-01-25' }] })
  const [found] = of('baseline')
  expect(found!.numbers).toMatchObject({ completeDays: { value: 24 }, storms: { value: 1 } })
  expect(found!.sentence).toContain('Enough for: screening')
  expect(found!.sentence).toContain('complete days 24 of 42')
})

test('remedies: what nobody looked at holds like a yes, and a flood zone stops closing', async () => {
  const unknown = await study(rainy(300))
  const drains = unknown('remedies', { remedy: 'roof and yard drains' })[0]!
  expect(drains.data).toMatchObject({
    need: 'held',
    wouldBe: 'needed',
    holds: [{ topic: 'locates', kind: 'record first' }],
  })
  expect(drains.sentence).toContain('held: record this first (locates)')
  expect(drains.evidenceAgainst.join(' ')).toContain('Local code officials')

  const flood = await study(rainy(300), { safety: { floodZone: 'yes', combustionAppliances: 'no', radonTest: 'yes' } })
  const close = flood('remedies', { remedy: 'close the space' })[0]!
  const { holds, need } = close.data as RemedyData
  expect(need).toBe('held')
  expect(holds[0]).toMatchObject({ topic: 'flood zone', kind: 'stop' })
  expect(holds.map(({ topic }) => topic)).not.toContain('combustion')
  expect(close.sentence).toContain('held (flood zone)')
})

test('remedies: what stands in the house is done; vents opened again undo a sealing', async () => {
  const works: HouseTree['works'] = [
    { key: 'a', kind: 'yard drain', from: '2024-01-10' },
    { key: 'b', kind: 'vents sealed', from: '2024-01-20' },
    { key: 'c', kind: 'vents opened', from: '2024-01-30' },
  ]
  const of = await study(rainy(300), { works })
  const done = of('remedies').flatMap(({ subject, data }) => ((data as RemedyData).done ? [subject.remedy] : []))
  expect(done).toEqual(['roof and yard drains'])
})

test('air of the living space is shown and not judged as a crawl space', async () => {
  const living: HouseTree['spaces'][number] = {
    key: 'home',
    name: 'Living space',
    role: 'living',
    spots: [{ key: 'hall', name: 'Hall' }],
  }
  const loggers = TEST_HOUSE.loggers!.map((logger) =>
    logger.key === 'l2'
      ? { ...logger, probes: [{ key: 'air', placements: [{ spot: 'home/hall', from: '2023-01-01' }] }] }
      : logger,
  )
  const moist = always(0.85 * saturationVaporPressurePa(21))
  const of = await study(
    { 'l2/air': air(40, always(21), moist), 'lo/air': air(40, always(15), always(500)) },
    { spaces: [...TEST_HOUSE.spaces, living], loggers },
  )
  const [hall] = of('moisture levels', { spot: 'home/hall' })
  expect(hall!.numbers.meanDewPoint!.value).toBeCloseTo(dewPointC(0.85 * saturationVaporPressurePa(21)), 1)
  expect(hall!.numbers.woodEstimate).toBeUndefined()
  expect(hall!.sentence).toContain('as people and cooking bring')
  for (const question of ['level', 'wood and mold', 'storms', 'reasoning'] as const) {
    expect(of(question).filter(({ subject }) => subject.space === 'home')).toEqual([])
  }
})
