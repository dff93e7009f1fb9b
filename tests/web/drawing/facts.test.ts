import { expect, test } from 'vitest'
import type { HouseTree } from '../../../server/http/contract/house.ts'
import type { HousePage } from '../../../server/http/contract/page.ts'
import { sectionFacts } from '../../../web/drawing/facts.ts'
import { factsInWords } from '../../../web/drawing/factsInWords.ts'

const DAY = 86_400_000
type Kind = NonNullable<HouseTree['works']>[number]['kind']
type Details = NonNullable<HouseTree['works']>[number]['details']

const house = (more: Partial<HouseTree> = {}, space: Partial<HouseTree['spaces'][number]> = {}): HouseTree =>
  ({
    format: 'underjoist house 1',
    key: 'h',
    name: 'H',
    timeZone: 'UTC',
    spaces: [{ key: 'crawl', name: 'Crawl space', role: 'crawl space', spots: [], ...space }],
    loggers: [],
    ...more,
  }) as HouseTree
const work = (key: string, at: number, to: number | null = null): HousePage['works'][number] => ({
  key,
  kind: '',
  words: key,
  at,
  to,
  date: '',
  note: null,
})
const entered = (key: string, kind: Kind, details?: Details) => ({
  key,
  kind,
  from: '2025-01-01',
  ...(details ? { details } : {}),
})

test('what nobody recorded is drawn plain and named', () => {
  const facts = sectionFacts(house(), [], 0)
  expect(facts).toMatchObject({
    wall: 'not recorded',
    grade: 'not recorded',
    downspouts: 'not recorded',
    vents: 'not recorded',
    coverShare: null,
    insulated: null,
  })
  expect(facts.notRecorded).toEqual([
    'where the downspouts end',
    'the grade at the wall',
    'the foundation wall',
    'the vents',
    'the ground cover',
    'the floor insulation',
    'the height of the space',
  ])
  expect(factsInWords(facts, () => '')).toEqual([])
})

test('a work is there from its day on, not before and not after it was undone; it is new for a year', () => {
  const tree = house(
    { works: [entered('lids', 'vents sealed'), entered('drain', 'downspout drain')] },
    { ventState: 'open' },
  )
  const works = [work('lids', 10 * DAY, 50 * DAY), work('drain', 10 * DAY)]
  const on = (day: number) => sectionFacts(tree, works, day * DAY)
  expect([on(9).vents, on(10).vents, on(49).vents, on(50).vents]).toEqual(['open', 'sealed', 'sealed', 'open'])
  expect([on(9).downspoutDrain, on(10).downspoutDrain]).toEqual([null, { fresh: true, since: 10 * DAY }])
  expect([on(374).downspoutDrain?.fresh, on(375).downspoutDrain?.fresh]).toEqual([true, false])
})

test('the last of sealing and opening the vents holds', () => {
  const tree = house(
    { works: [entered('lids', 'vents sealed'), entered('off', 'vents opened')] },
    { ventState: 'open' },
  )
  const works = [work('lids', DAY), work('off', 5 * DAY)]
  expect([3, 6].map((day) => sectionFacts(tree, works, day * DAY).vents)).toEqual(['sealed', 'open'])
})

test('a broad work does what its parts say, and a cover covers the share entered', () => {
  const tree = house(
    { works: [entered('all', 'encapsulation', { parts: ['dehumidifier'], coverSharePct: 80 })] },
    { groundCoverSharePct: 20 },
  )
  const facts = (day: number) => sectionFacts(tree, [work('all', DAY)], day * DAY)
  expect([facts(0).coverShare, facts(2).coverShare]).toEqual([0.2, 0.8])
  expect(facts(2)).toMatchObject({ vents: 'sealed', wallsLined: true, dehumidifier: { fresh: true, since: DAY } })
})

test('walls are told apart by their words; a space without vents has none to draw', () => {
  const wall = (foundationWall: string) => sectionFacts(house({ facts: { foundationWall } }), [], 0).wall
  expect(['hollow concrete block', 'poured concrete', 'brick', 'piers on pads'].map(wall)).toEqual([
    'block',
    'concrete',
    'block',
    'piers',
  ])
  expect(sectionFacts(house({}, { ventCount: 0, ventState: 'open' }), [], 0).vents).toBe('none')
})

test('the building is told in sentences with dates', () => {
  const tree = house(
    {
      facts: { gradeAtWall: 'falls away', foundationWall: 'block', downspouts: 'led away', floorInsulated: false },
      works: [entered('lids', 'vents sealed')],
    },
    { groundCoverSharePct: 95 },
  )
  expect(factsInWords(sectionFacts(tree, [work('lids', DAY)], 2 * DAY), (at) => `day ${at / DAY}`)).toEqual([
    'Foundation: block wall.',
    'The grade falls away from the wall.',
    'Downspouts: led away.',
    'Vents sealed, since day 1.',
    'Ground cover on 95 %.',
    'No insulation between the joists.',
  ])
})
