import { expect, test } from 'vitest'
import { mold } from '../../../server/watch/rules/mold.ts'
import { along, held } from './along.ts'

const WEEK = 168
const wet = { tempC: 22, rhPct: 97 }
const dry = { tempC: 22, rhPct: 50 }

test('warm wet months raise it at the index of visible growth, to the contractor and never to the owner', () => {
  const going = along(mold).go(40 * WEEK, wet)
  expect(going.raised()).toMatchObject({ urgency: 'soon', audience: ['contractor'] })
  expect(going.raised()!.numbers.moldIndex).toBeGreaterThanOrEqual(held.moldWetIndex)
  // Sensitive material needs months, not weeks.
  expect(
    along(mold)
      .go(3 * WEEK, wet)
      .raised(),
  ).toBeNull()
})

test('dry, frosty and unknown air grow nothing', () => {
  expect(
    along(mold)
      .go(60 * WEEK, { tempC: 22, rhPct: 75 })
      .raised(),
  ).toBeNull()
  expect(
    along(mold)
      .go(60 * WEEK, { tempC: -3, rhPct: 99 })
      .raised(),
  ).toBeNull()
  expect(
    along(mold)
      .go(60 * WEEK, {})
      .raised(),
  ).toBeNull()
})

test('between its two lines it goes on; silence does not end it; a long dry time does', () => {
  const going = along(mold).go(40 * WEEK, wet)
  const index = () => going.raised()?.numbers.moldIndex ?? 0
  going.go(10 * WEEK, {})
  const before = index()
  expect(before).toBeGreaterThan(held.moldWetIndex)
  let between = 0
  for (let hour = 0; hour < 400 * WEEK && going.raised() !== null; hour += 24) {
    going.go(24, dry)
    if (index() < held.moldWetIndex && going.raised() !== null) between++
  }
  expect(between).toBeGreaterThan(0)
  expect(going.raised()).toBeNull()
})
