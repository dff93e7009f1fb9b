import { expect, test } from 'vitest'
import { CLUES, type HouseFindings, SOURCES, type Source } from '../../server/advice/clues.ts'
import { reasonAboutSources } from '../../server/advice/reasoning.ts'
import { thresholds } from '../../server/advice/thresholds.ts'
import { couplingOf, days, LITTLE_KNOWN } from './found.ts'

const held = thresholds()
const reason = (found: Partial<HouseFindings>) => reasonAboutSources({ ...LITTLE_KNOWN, ...found }, held)
const certainty = (found: Partial<HouseFindings>, source: Source) =>
  reason(found).suspicions.find((suspicion) => suspicion.source === source)!.certainty
const rain = (clear: number, measured: number) => ({ clear, measured, perInchPa: 120, unknownRainHours: 0 })

test('knowing nothing it names no source, and asks for the cheapest test', () => {
  const answer = reason({})
  expect(answer.first).toBe('unknown')
  expect(answer.summary).toContain('a test, not a remedy')
  expect(answer.nextTest).toBe('A water sensor at the low point.')
  expect(reason({ liquid: 'not seen', sensorsChecked: true }).nextTest).toBe(
    'A rain record, from a gauge or a station nearby.',
  )
})

test.each<[string, Partial<HouseFindings>, Source]>([
  ['rain answered in two of three storms', { rain: rain(2, 3) }, 'rain or ground water'],
  ['a step without rain that one spot led', { step: { risePa: 200, leadingSpot: 'bath', rainNear: false } }, 'leak'],
  [
    'excess on cold dry days over bare ground',
    { excess: { all: days(300), coldDry: days(300), humid: null }, coverShare: 0 },
    'ground',
  ],
  [
    'air that is outdoor air, over cold surfaces',
    { coupling: couplingOf('follows outdoor air'), outdoorCondensingShare: 0.3 },
    'outdoor air',
  ],
  ['a duct that drips', { condensationDays: 9 }, 'cold surface or duct'],
  [
    'falling since the work',
    { weeksSinceWork: 4, excessTrend: 'falling', woodTrend: 'falling', rain: rain(0, 4) },
    'drying',
  ],
  ['a dryer that blows below', { houseExhausts: 'some end below' }, 'house air'],
])('%s', (_, found, source) => {
  const answer = reason(found)
  expect(answer.first).toBe(source)
  expect(answer.suspicions[0]).toMatchObject({ source, certainty: 'likely' })
  expect(answer.suspicions[0]!.evidenceFor).not.toEqual([])
})

test('water first: vapor waits, and is not ranked', () => {
  const answer = reason({
    liquid: 'seen',
    condensationDays: 9,
    coupling: couplingOf('follows outdoor air'),
    outdoorCondensingShare: 0.3,
  })
  expect(answer).toMatchObject({ first: 'rain or ground water', vaporWaits: true })
  expect(answer.suspicions.map(({ source }) => source)).toEqual([...SOURCES])
})

test('too short a record makes nothing likely or unlikely, except water that was seen', () => {
  const short = { baseline: { enough: false, needs: '2 more storms' } }
  expect(certainty({ ...short, condensationDays: 9 }, 'cold surface or duct')).toBe('possible')
  expect(certainty({ ...short, step: 'none' }, 'leak')).toBe('cannot tell')
  expect(certainty({ ...short, liquid: 'seen' }, 'rain or ground water')).toBe('likely')
  expect(reason(short).summary).toContain('2 more storms')
})

test('one storm of many is chance; some of them are a suspicion; soaked ground is never cleared by dry storms', () => {
  expect(certainty({ rain: rain(1, 14) }, 'rain or ground water')).toBe('unlikely')
  expect(certainty({ rain: rain(4, 9) }, 'rain or ground water')).toBe('possible')
  const soaked = {
    rain: rain(0, 9),
    excess: { all: null, coldDry: days(400), humid: null },
    coverShare: 0.9,
    downspouts: 'end at the wall',
  } as const
  expect(certainty(soaked, 'rain or ground water')).toBe('possible')
})

test('excess over a covered dry floor points to leak or house air, not to the ground', () => {
  const found = { excess: { all: null, coldDry: days(250), humid: null }, coverShare: 0.95, floor: 'dry' } as const
  expect(certainty(found, 'ground')).toBe('unlikely')
  expect(certainty(found, 'leak')).toBe('possible')
  expect(certainty(found, 'house air')).toBe('possible')
})

test('no excess on cold dry days clears the ground; 100 Pa is an excess only for checked sensors', () => {
  const found = { excess: { all: null, coldDry: days(0), humid: null }, coverShare: 0 } as const
  expect(certainty(found, 'ground')).toBe('unlikely')
  const small = { excess: { all: null, coldDry: days(100), humid: null }, coverShare: 0 } as const
  expect(certainty(small, 'ground')).toBe('unlikely')
  expect(certainty({ ...small, sensorsChecked: true }, 'ground')).toBe('likely')
})

test('air moister than outdoors is not outdoor air', () => {
  const answer = reason({ coupling: couplingOf('moister than outdoor air') })
  const suspicion = answer.suspicions.find(({ source }) => source === 'outdoor air')!
  expect(suspicion.certainty).toBe('unlikely')
  expect(suspicion.evidenceAgainst[0]).toContain('Outdoor air can only bring what it has.')
})

test('every source has clues for and against, what would change it and a test; no share is ever named', () => {
  for (const source of SOURCES) {
    for (const speaks of ['for', 'against']) {
      expect(
        CLUES.some((clue) => clue.source === source && clue.speaks === speaks),
        `${source} ${speaks}`,
      ).toBe(true)
    }
  }
  for (const { wouldChangeIt, nextTest } of reason({}).suspicions) {
    expect(wouldChangeIt.length).toBeGreaterThan(20)
    expect(nextTest.length).toBeGreaterThan(20)
  }
})
