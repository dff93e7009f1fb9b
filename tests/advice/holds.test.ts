import { expect, test } from 'vitest'
import {
  heldSentence,
  holdsOf,
  holdsOn,
  NOTHING_LOOKED_AT,
  REMEDIES,
  type SafetyFacts,
} from '../../server/advice/holds.ts'
import { thresholds } from '../../server/advice/thresholds.ts'

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
const topics = (facts: Partial<SafetyFacts>) =>
  holdsOf({ ...CLEAR, ...facts }, held).map(({ topic, kind }) => [topic, kind])

test('a house whose facts are all clear holds nothing', () => {
  expect(topics({})).toEqual([])
  expect(heldSentence([])).toBeNull()
})

test('nothing looked at holds every remedy', () => {
  for (const remedy of REMEDIES) expect(holdsOn(remedy, NOTHING_LOOKED_AT, held), remedy).not.toEqual([])
  const sentence = heldSentence(holdsOn('close the space', NOTHING_LOOKED_AT, held))!
  expect(sentence.startsWith('Held: record this first.')).toBe(true)
  expect(sentence.endsWith('licensed trades decide.')).toBe(true)
})

test.each<[Partial<SafetyFacts>, string, string]>([
  [{ floodZone: 'yes' }, 'flood zone', 'stop'],
  [{ floodZone: 'not looked at' }, 'flood zone', 'record first'],
  [{ combustionAppliances: 'yes' }, 'combustion', 'stop'],
  [{ structuralSigns: 'yes' }, 'structure', 'stop'],
  [{ entryHazard: 'yes' }, 'entry', 'stop'],
  [{ radonTest: 'no' }, 'radon', 'record first'],
  [{ radonPciL: null }, 'radon', 'record first'],
  [{ radonPciL: 4 }, 'radon', 'stop'],
  [{ utilityLocates: 'no' }, 'locates', 'stop'],
  [{ utilityLocates: 'not looked at' }, 'locates', 'record first'],
])('%j holds for %s (%s)', (facts, topic, kind) => {
  expect(topics(facts)).toEqual([[topic, kind]])
})

test('each stop holds what it must and no more', () => {
  const heldBy = (facts: Partial<SafetyFacts>) =>
    REMEDIES.filter((remedy) => holdsOn(remedy, { ...CLEAR, ...facts }, held).length > 0)
  expect(heldBy({ floodZone: 'yes' })).toEqual(['close the space'])
  expect(heldBy({ combustionAppliances: 'yes' })).toEqual(['close the space', 'vent fan'])
  expect(heldBy({ utilityLocates: 'no' })).toEqual(['roof and yard drains', 'footing drain'])
  expect(heldBy({ entryHazard: 'yes' })).not.toContain('roof and yard drains')
})

test('a flood zone says openings are never sealed', () => {
  expect(heldSentence(holdsOn('close the space', { ...CLEAR, floodZone: 'yes' }, held))).toContain(
    'must never be sealed',
  )
})
