/** The sentence an owner reads first. */
import { expect, test } from 'vitest'
import type { Level } from '../../../server/moisture/level.ts'
import { ownerState } from '../../../server/study/view/ownerState.ts'

const ZONE = 'America/New_York'
const HEARD = Date.UTC(2026, 5, 30, 7)
const spot = (name: string, level: Level, since = '2026-06-01') => ({ name, level, since, lastHeardAt: HEARD })
const dry = [spot('Low corner', 'dry'), spot('Mid joist', 'dry', '2026-06-12')]
const sentence = (...asked: Parameters<typeof ownerState> extends [infer S, infer N, string] ? [S, N] : never) =>
  ownerState(...asked, ZONE).sentence

test('dry says since when, and only of places that are heard', () => {
  expect(ownerState(dry, [], ZONE)).toEqual({
    level: 'dry',
    sentence: 'Dry',
    more: ['Every place under the house that is heard has been dry since June 12, 2026.'],
  })
  const { sentence: told, more } = ownerState([...dry, spot('Far end', 'silent')], [], ZONE)
  expect(told).toBe('Dry where we hear from')
  expect(more.at(-1)).toBe('Nothing is heard from Far end, which does not mean that it is dry there.')
})

test('no news is never dry', () => {
  const { level, sentence: told, more } = ownerState([spot('Low corner', 'silent')], [], ZONE)
  expect([level, told]).toEqual(['silent', 'Nothing heard since June 30, 2026'])
  expect(more).toEqual(['No news does not mean dry: we cannot tell.'])
  expect(ownerState([{ ...spot('A', 'silent'), lastHeardAt: null }], [], ZONE).sentence).toBe('Nothing heard yet')
  expect(ownerState([], [], ZONE)).toMatchObject({ level: null, sentence: 'Nothing measured yet' })
})

test('the wettest place sets it', () => {
  expect(sentence([...dry, spot('Bath', 'drying')], [])).toBe('Drying, as expected')
  expect(ownerState([...dry, spot('Bath', 'damp')], [], ZONE)).toMatchObject({
    sentence: 'Damp: we are looking',
    more: ['Damp at Bath since June 1, 2026.'],
  })
  expect(sentence([spot('Bath', 'wet')], [])).toBe('Wet: we are looking')
})

test('an open alarm speaks first, even where nothing is heard any more', () => {
  const urgent = (watch: string) => [{ watch, urgency: 'urgent' }]
  expect(sentence(dry, urgent('liquid water'))).toBe('Wet: do this now')
  expect(sentence([spot('A', 'silent')], urgent('liquid water'))).toBe('Wet: do this now')
  expect(sentence(dry, urgent('freezing'))).toBe('Freezing: do this now')
  expect(sentence(dry, urgent('power lost'))).toBe('The power is off: do this now')
  expect(sentence(dry, [{ watch: 'freezing', urgency: 'soon' }])).toBe('Dry')
})

test('while a matter of damp is open it is not called dry or drying', () => {
  const damp = [{ watch: 'damp', urgency: 'soon' }]
  expect(sentence(dry, damp)).toBe('Damp: we are looking')
  expect(sentence([spot('A', 'drying')], damp)).toBe('Damp: we are looking')
  expect(sentence(dry, [{ watch: 'silent', urgency: 'soon' }])).toBe('Dry')
})
