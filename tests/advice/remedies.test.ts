import { expect, test } from 'vitest'
import type { HouseFindings } from '../../server/advice/clues.ts'
import { NOTHING_LOOKED_AT, type Remedy, type SafetyFacts } from '../../server/advice/holds.ts'
import { reasonAboutSources } from '../../server/advice/reasoning.ts'
import { adviseRemedies, closingNotNeeded, type RemedyFacts } from '../../server/advice/remedies.ts'
import { thresholds } from '../../server/advice/thresholds.ts'
import { couplingOf, days, LITTLE_KNOWN } from './found.ts'

const held = thresholds()
const CLEAR: SafetyFacts = {
  floodZone: 'no',
  combustionAppliances: 'no',
  radonTest: 'yes',
  radonPciL: 1.2,
  utilityLocates: 'yes',
  structuralSigns: 'no',
  entryHazard: 'no',
}
function facts(found: Partial<HouseFindings>, rest: Partial<RemedyFacts> = {}): RemedyFacts {
  const full = { ...LITTLE_KNOWN, ...found }
  return {
    found: full,
    reasoning: reasonAboutSources(full, held),
    safety: CLEAR,
    climate: 'mixed humid',
    foundation: 'perimeter wall',
    woodAtHumidEndPct: null,
    surfaceOverLine: null,
    seasonsSeen: true,
    done: [],
    ...rest,
  }
}
const advice = (made: RemedyFacts, remedy: Remedy) => adviseRemedies(made, held).find((row) => row.remedy === remedy)!
const OUTDOOR = {
  coupling: couplingOf('follows outdoor air'),
  outdoorCondensingShare: 0.3,
  coverShare: 0.95,
  condensationDays: 5,
} as const

test('knowing nothing, no remedy is needed yet, and each says what it waits for', () => {
  const rows = adviseRemedies(facts({}), held).filter(({ remedy }) => remedy !== 'vent fan')
  expect(rows.every(({ need, waitsFor }) => need === 'not yet' && waitsFor !== null)).toBe(true)
})

test('water: roof drains now, the footing drain after them, vapor remedies wait', () => {
  const made = facts({ liquid: 'seen', excess: { all: null, coldDry: days(300), humid: null }, coverShare: 0 })
  expect(advice(made, 'roof and yard drains').need).toBe('needed')
  expect(advice(made, 'footing drain')).toMatchObject({ need: 'not yet' })
  expect(advice(made, 'ground cover')).toMatchObject({ need: 'not yet', waitsFor: 'the water to be out first' })
  expect(advice(made, 'close the space')).toMatchObject({ need: 'not yet', waitsFor: 'the water to be out first' })
  expect(advice({ ...made, done: ['roof and yard drains'] }, 'footing drain').need).toBe('needed')
})

test('bare ground: a cover is needed, closing is not', () => {
  const made = facts({ excess: { all: null, coldDry: days(300), humid: null }, coverShare: 0 })
  expect(advice(made, 'ground cover').need).toBe('needed')
  expect(advice(made, 'close the space')).toMatchObject({
    need: 'not needed',
    reasons: ['The ground is the only likely source; a cover answers it.'],
  })
  expect(advice(made, 'dehumidifier').reasons[0]).toBe('In a vented space it would dry the outdoors.')
})

test('closing is needed when all of its own card holds, and waits for whatever is lacking', () => {
  expect(advice(facts(OUTDOOR), 'close the space').need).toBe('needed')
  const early = advice(facts(OUTDOOR, { seasonsSeen: false }), 'close the space')
  expect(early).toMatchObject({ need: 'not yet', waitsFor: 'a humid season and a cold month to be seen' })
  expect(advice(facts({ ...OUTDOOR, coverShare: 0.2 }), 'close the space').waitsFor).toContain(
    'the ground to be covered',
  )
  expect(advice(facts(OUTDOOR, { climate: 'dry' }), 'close the space').need).toBe('not needed')
})

test('a hard stop holds what would be needed, keeps the need behind it, and is on the card', () => {
  const flood = facts(OUTDOOR, { safety: { ...CLEAR, floodZone: 'yes' } })
  const row = advice(flood, 'close the space')
  expect(row).toMatchObject({ need: 'held', wouldBe: 'needed' })
  expect(row.held).toContain('must never be sealed')
  expect(closingNotNeeded(flood, held)).toEqual([
    { words: 'Flood openings are required in a flood hazard zone.', stop: true },
  ])
  const unlooked = adviseRemedies(facts(OUTDOOR, { safety: NOTHING_LOOKED_AT }), held)
  expect(unlooked.filter(({ need }) => need === 'needed')).toEqual([])
})

test('the card lists every reason that applies', () => {
  const made = facts(
    { outdoorCondensingShare: 0.02 },
    { climate: 'dry', foundation: 'open piers', woodAtHumidEndPct: 12, surfaceOverLine: false },
  )
  expect(closingNotNeeded(made, held).map(({ words }) => words)).toEqual([
    'Outdoor dew point seldom stood above the coldest surface.',
    'In a dry climate venting dries.',
    'An open pier foundation breathes like outdoors.',
    'Wood was 12 % at the end of the humid season and no surface stayed above 80 % for 30 days.',
  ])
})

test('what was done is not advised again', () => {
  expect(advice(facts({ coverShare: 0 }, { done: ['ground cover'] }), 'ground cover').need).toBe('not needed')
})
