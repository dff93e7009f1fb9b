import { expect, test } from 'vitest'
import { damp } from '../../../server/watch/rules/damp.ts'
import { along, HOUR, held, START } from './along.ts'

const { closedHours, closedOnRhPct, closedOffRhPct } = held
const over = { rhPct: closedOnRhPct + 1 }

test('raised once the mean of a full day is over the line, to everybody', () => {
  expect(
    along(damp)
      .go(closedHours - 1, over)
      .raised(),
  ).toBeNull()
  expect(along(damp).go(closedHours, over).raised()).toMatchObject({
    since: START + closedHours * HOUR,
    urgency: 'soon',
    audience: ['owner', 'contractor'],
    numbers: { rhPct: closedOnRhPct + 1, lineRhPct: closedOnRhPct },
  })
  expect(along(damp).go(closedHours, { rhPct: closedOnRhPct }).raised()).toBeNull()
})

test('over only when the mean stayed below the lower line for a day; between the lines it goes on', () => {
  const between = along(damp)
    .go(48, over)
    .go(500, { rhPct: (closedOnRhPct + closedOffRhPct) / 2 })
  expect(between.raised()).not.toBeNull()
  const going = along(damp)
    .go(48, over)
    .go(closedHours, { rhPct: closedOffRhPct - 1 })
  expect(going.raised()).toMatchObject({ numbers: { rhPct: closedOffRhPct - 1, rhHighestPct: closedOnRhPct + 1 } })
  // Below the line at the 21st of these hours: (21 * 59 + 3 * 66) / 24 < 60.
  expect(going.go(19, { rhPct: closedOffRhPct - 1 }).raised()).not.toBeNull()
  expect(going.go(1, { rhPct: closedOffRhPct - 1 }).raised()).toBeNull()
})

test('a day of which too little is known says nothing, and does not end it either', () => {
  const known = Math.ceil(held.completeDayShare * closedHours)
  const silent = { rhPct: Number.NaN }
  expect(
    along(damp)
      .go(closedHours - known, silent)
      .go(known, over)
      .raised(),
  ).not.toBeNull()
  expect(
    along(damp)
      .go(closedHours - known + 1, silent)
      .go(known - 1, over)
      .raised(),
  ).toBeNull()
  expect(along(damp).go(48, over).go(500, silent).raised()).not.toBeNull()
})

test('a vented space, or one that is not under the house, is not judged by its RH; opened vents end it', () => {
  expect(
    along(damp)
      .go(100, { rhPct: 95, around: { closed: false } })
      .raised(),
  ).toBeNull()
  expect(
    along(damp)
      .go(100, { rhPct: 95, around: { below: false } })
      .raised(),
  ).toBeNull()
  expect(
    along(damp)
      .go(100, { rhPct: 95 })
      .go(1, { rhPct: 95, around: { closed: false } })
      .raised(),
  ).toBeNull()
})
