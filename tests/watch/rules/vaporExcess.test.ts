import { expect, test } from 'vitest'
import { vaporExcess } from '../../../server/watch/rules/vaporExcess.ts'
import { along, HOUR, held, type Made, START } from './along.ts'

const { ventedExcessDays, ventedExcessPa, ventedOffDays, ventedOffPa, woodDampPct, completeDayShare } = held
const OUTDOOR = 1000
const above = (excessPa: number, more: Made = {}): Made => ({
  vaporPressurePa: OUTDOOR + excessPa,
  around: { closed: false, outdoorVaporPa: OUTDOOR },
  ...more,
})
const damp = above(ventedExcessPa + 1)
const WEEK = 24 * ventedExcessDays

test('raised after enough days in a row: a note to the contractor, and to the owner once the wood is damp too', () => {
  expect(
    along(vaporExcess)
      .go(WEEK - 1, damp)
      .raised(),
  ).toBeNull()
  expect(along(vaporExcess).go(WEEK, damp).raised()).toMatchObject({
    since: START,
    sureAt: START + WEEK * HOUR,
    urgency: 'note',
    audience: ['contractor'],
    numbers: { vaporExcessPa: ventedExcessPa + 1, vaporExcessDays: ventedExcessDays, linePa: ventedExcessPa },
  })
  const wood = above(ventedExcessPa + 1, { woodMcPct: woodDampPct })
  expect(along(vaporExcess).go(WEEK, wood).raised()).toMatchObject({
    urgency: 'soon',
    audience: ['owner', 'contractor'],
  })
})

test('one day at the line begins the count anew', () => {
  const going = along(vaporExcess)
  for (let i = 0; i < 5; i++) going.go(WEEK - 24, damp).go(24, above(ventedExcessPa))
  expect(going.heldHours()).toBe(0)
})

test('over after days in a row below the lower line; between the lines it goes on', () => {
  const raised = () => along(vaporExcess).go(WEEK, damp)
  const under = above(ventedOffPa - 1)
  expect(
    raised()
      .go(24 * 60, above((ventedOffPa + ventedExcessPa) / 2))
      .raised(),
  ).not.toBeNull()
  expect(
    raised()
      .go(24 * ventedOffDays - 1, under)
      .raised(),
  ).not.toBeNull()
  expect(
    raised()
      .go(24 * ventedOffDays, under)
      .raised(),
  ).toBeNull()
})

test('a day of which too little is known neither counts nor breaks the row', () => {
  const known = Math.ceil(completeDayShare * 24) - 1
  const unknown = { around: { closed: false } }
  expect(
    along(vaporExcess)
      .go(WEEK - 24, damp)
      .go(24, unknown)
      .raised(),
  ).toBeNull()
  expect(
    along(vaporExcess)
      .go(WEEK - 24, damp)
      .go(48, unknown)
      .go(24, damp)
      .raised(),
  ).not.toBeNull()
  const broken = along(vaporExcess)
    .go(WEEK - 24, damp)
    .go(known, above(0))
    .go(24 - known, unknown)
  expect(broken.go(24, damp).raised()).not.toBeNull()
  expect(
    along(vaporExcess)
      .go(WEEK - 24, damp)
      .go(24, above(0))
      .go(24, damp)
      .raised(),
  ).toBeNull()
})

test('a closed space, or one that is not under the house, is not judged by it', () => {
  expect(
    along(vaporExcess)
      .go(WEEK * 3, above(500, { around: { outdoorVaporPa: OUTDOOR } }))
      .raised(),
  ).toBeNull()
  const attic = { below: false, closed: false, outdoorVaporPa: OUTDOOR }
  expect(
    along(vaporExcess)
      .go(WEEK * 3, above(500, { around: attic }))
      .raised(),
  ).toBeNull()
})

test('wood about its line does not make it more and less urgent by turns', () => {
  const wood = (woodMcPct: number) => above(ventedExcessPa + 1, { woodMcPct })
  const going = along(vaporExcess).go(WEEK, wood(woodDampPct))
  expect(going.go(1, wood(woodDampPct - held.woodOffPoints + 0.1)).raised()!.urgency).toBe('soon')
  expect(going.go(1, wood(woodDampPct - held.woodOffPoints)).raised()!.urgency).toBe('note')
  expect(going.go(1, wood(woodDampPct - 0.1)).raised()!.urgency).toBe('note')
})
