import { expect, test } from 'vitest'
import { placingAdvice } from '../../server/advice/placing.ts'
import type { PlacedProbe, PlacingFacts, PlacingSpace } from '../../server/advice/placingFacts.ts'
import { thresholds } from '../../server/advice/thresholds.ts'

const MEASURES = { air: true, wood: false, surface: false, water: false, rain: false }
const probe = (spotName: string, heightM: number | null = null, also: Partial<typeof MEASURES> = {}): PlacedProbe => ({
  spotName,
  heightM,
  measures: { ...MEASURES, ...also },
})
const CRAWL: PlacingSpace = {
  key: 'crawl',
  name: 'Crawl space',
  role: 'crawl space',
  heightM: 1,
  floorAreaM2: 90,
  ventsOpen: true,
  probes: [],
  coldSurfaceKnown: false,
}
const EMPTY: PlacingFacts = {
  spaces: [CRAWL],
  station: { dewPoint: false, rain: false },
  downspouts: null,
  gradeAtWall: null,
  wettestSeen: null,
  dehumidifier: false,
  atHand: 0,
}
const ask = (some: Partial<PlacingFacts>, units: 'us' | 'si' = 'us') =>
  placingAdvice({ ...EMPTY, ...some }, thresholds(), units)
const keys = (some: Partial<PlacingFacts>) => ask(some).advice.map(({ key }) => key)
const crawl = (some: Partial<PlacingSpace>) => ({ spaces: [{ ...CRAWL, ...some }] })

test('an empty house: outdoor air first, then the wet corner, the joists, and what else is missing', () => {
  expect(keys({})).toEqual([
    'outdoors',
    'wettest crawl',
    'joist crawl',
    'cold surface crawl',
    'water crawl',
    'rain',
    'living',
  ])
})

test('with two loggers at hand the first two places are for now', () => {
  const { advice } = ask({ atHand: 2 })
  expect(advice.filter(({ now }) => now).map(({ key }) => key)).toEqual(['outdoors', 'wettest crawl'])
  // A surface probe is no use of a logger of air.
  expect(
    ask({ atHand: 9 })
      .advice.filter(({ now }) => now)
      .map(({ key }) => key),
  ).not.toContain('water crawl')
})

test('a station with dew point and rain serves for both outdoors', () => {
  const { advice, enough } = ask({ station: { dewPoint: true, rain: true } })
  expect(advice.map(({ key }) => key)).not.toContain('outdoors')
  expect(enough).toHaveLength(2)
})

test('where it is wet: as a survey found it, else by downspouts, else by the ground', () => {
  const where = (some: Partial<PlacingFacts>) => ask(some).advice.find(({ key }) => key === 'wettest crawl')!.where
  const all = { downspouts: 'end at the wall', gradeAtWall: 'falls toward' } as const
  expect(where({ ...all, wettestSeen: { space: 'crawl', place: 'sill beside the pump' } })).toContain('beside the pump')
  expect(where({ ...all, wettestSeen: { space: 'other', place: 'sill beside the pump' } })).not.toContain('pump')
  expect(where(all)).toContain('downspout')
  expect(where({ gradeAtWall: 'falls toward' })).toContain('falls toward the house')
  expect(where({})).toContain('lowest corner')
})

test('what hangs low and what hangs at the joists is told by height, else by name', () => {
  expect(keys(crawl({ probes: [probe('East', 0.25), probe('West', 0.8)] }))).not.toContain('wettest crawl')
  expect(keys(crawl({ probes: [probe('East', 0.25)] }))).toContain('joist crawl')
  expect(keys(crawl({ probes: [probe('East', 0.8)] }))).toContain('wettest crawl')
  expect(keys(crawl({ probes: [probe('Low corner'), probe('Mid joist')] }))).not.toContain('joist crawl')
  // One of wood alone measures no air.
  expect(keys(crawl({ probes: [probe('Low corner', 0.2, { air: false, wood: true })] }))).toContain('wettest crawl')
})

test('more for a large space, none for a small one, and its size is asked for where it is not known', () => {
  const two = [probe('Low corner', 0.2), probe('Joist', 0.8)]
  expect(keys(crawl({ probes: two }))).not.toContain('spread crawl')
  // 200 m2: two for the first 93, two more for the 107 beyond.
  const large = ask(crawl({ probes: two, floorAreaM2: 200 })).advice.find(({ key }) => key === 'spread crawl')!
  expect(large.where).toContain('2 more')
  expect(large.why).toContain('4 are usual')
  expect(keys(crawl({ floorAreaM2: null }))).toContain('area crawl')
})

test('a full house needs nothing, and says what is enough', () => {
  const full: PlacingFacts = {
    ...EMPTY,
    spaces: [
      {
        ...CRAWL,
        probes: [probe('Low corner', 0.2, { water: true }), probe('Joist', 0.8), probe('Duct', 0.5, { surface: true })],
      },
      { ...CRAWL, key: 'out', name: 'Outdoors', role: 'outdoor', probes: [probe('North', 1.5, { rain: true })] },
      { ...CRAWL, key: 'living', name: 'Living', role: 'living', probes: [probe('Hall', 1.5)] },
    ],
  }
  const { advice, enough } = placingAdvice(full, thresholds(), 'us')
  expect(advice).toEqual([])
  expect(enough).toHaveLength(8)
})

test('distances are said in the units of the person, the dehumidifier where there is one, and water near power', () => {
  const how = (units: 'us' | 'si', dehumidifier = false) =>
    ask({ dehumidifier }, units)
      .advice.flatMap((one) => [one.where, ...one.how])
      .join(' ')
  expect(how('us')).toContain('6 to 12 in')
  expect(how('us')).toContain('3 ft or more')
  expect(how('si')).toContain('15 to 30 cm')
  expect(how('si')).not.toMatch(/\bft\b|\bin above/)
  expect(how('us')).not.toContain('dehumidifier')
  expect(how('us', true)).toContain('dehumidifier')
  expect(how('us')).toContain('electrician')
})
