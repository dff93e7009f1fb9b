import { expect, test } from 'vitest'
import { freezing } from '../../../server/watch/rules/freezing.ts'
import { along, HOUR, held, START } from './along.ts'

const at = (tempC: number) => ({ tempC, tempMaxC: tempC })
const { freezeActC, freezeWatchC, freezeOffK, freezeOffHours, freezeOnMinutes } = held
const cold = at(freezeWatchC - 1)
const frost = at(freezeActC - 1)
const warm = at(freezeWatchC + freezeOffK)

test('near freezing is soon, at freezing is urgent, at the line of neither is nothing', () => {
  expect(along(freezing).go(5, at(freezeWatchC)).raised()).toBeNull()
  expect(along(freezing).go(5, cold).raised()).toMatchObject({
    since: START,
    urgency: 'soon',
    audience: ['owner', 'contractor'],
    numbers: { lineTempC: freezeWatchC },
  })
  expect(along(freezing).go(5, at(freezeActC)).raised()).toMatchObject({
    urgency: 'urgent',
    numbers: { lineTempC: freezeActC },
  })
})

test('one cold reading is a fault until another follows; of the hour under way half is enough', () => {
  expect(
    along(freezing)
      .go(1, { ...frost, readings: 1 })
      .go(20, warm)
      .raised(),
  ).toBeNull()
  expect(
    along(freezing)
      .go(2, { ...frost, readings: 1 })
      .raised(),
  ).not.toBeNull()
  expect(
    along(freezing)
      .go(1, { ...frost, minutes: freezeOnMinutes - 1 })
      .raised(),
  ).toBeNull()
  expect(
    along(freezing)
      .go(1, { ...frost, minutes: freezeOnMinutes })
      .raised(),
  ).toMatchObject({
    sureAt: START + freezeOnMinutes * 60_000,
  })
  // A mean below the line is not enough while the hour goes on: all its readings must be.
  expect(along(freezing).go(1, { tempC: -1, tempMaxC: 6, minutes: 45 }).raised()).toBeNull()
})

test('over after days that stayed well above the line, and not before', () => {
  const going = along(freezing)
    .go(5, cold)
    .go(freezeOffHours - 1, warm)
  expect(going.raised()).not.toBeNull()
  expect(going.go(1, warm).raised()).toBeNull()
  expect(
    along(freezing)
      .go(5, cold)
      .go(500, at(freezeWatchC + freezeOffK / 2))
      .raised(),
  ).not.toBeNull()
  expect(along(freezing).go(5, cold).go(500, at(Number.NaN)).raised()).not.toBeNull()
})

test('cold nights between mild days are one matter, urgent from its first frost on', () => {
  const spring = along(freezing)
  for (let day = 0; day < 10; day++) spring.go(8, day === 2 ? frost : cold).go(16, at(12))
  expect(spring.heldHours()).toBe(10 * 24)
  expect(spring.raised()).toMatchObject({
    since: START,
    urgency: 'urgent',
    numbers: { tempC: 12, tempLowestC: freezeActC - 1 },
  })
  expect(spring.go(freezeOffHours, warm).go(2, cold).raised()).toMatchObject({ urgency: 'soon' })
  expect(spring.raised()!.since).toBe(spring.at() - 2 * HOUR)
})

test('an attic may freeze', () => {
  expect(
    along(freezing)
      .go(50, { ...frost, around: { below: false } })
      .raised(),
  ).toBeNull()
})
