import { expect, test } from 'vitest'
import { markBit } from '../../../server/series/marks.ts'
import { batteryLow, probeBad } from '../../../server/watch/rules/probes.ts'
import { along, HOUR, held, START } from './along.ts'

const { batteryDays, batteryLowShare, batteryOffShare, badProbeHours } = held
const volts = (batteryMinV: number) => ({ batteryMinV })
const GOOD = 3
const low = volts(GOOD * batteryLowShare - 0.01)

test('a battery is low against its own best day, after some days, as a note to the contractor', () => {
  expect(
    along(batteryLow)
      .go(24 * 90, volts(2.1))
      .raised(),
  ).toBeNull()
  const fresh = () => along(batteryLow).go(24, volts(GOOD))
  expect(
    fresh()
      .go(24 * batteryDays - 1, low)
      .raised(),
  ).toBeNull()
  expect(
    fresh()
      .go(24 * batteryDays, low)
      .raised(),
  ).toMatchObject({
    since: START + 24 * HOUR,
    urgency: 'note',
    audience: ['contractor'],
    numbers: { batteryGoodV: GOOD },
  })
  const line = GOOD * batteryLowShare
  expect(
    fresh()
      .go(24 * 30, volts(line + 0.001))
      .raised(),
  ).toBeNull()
})

test('a warm day does not make a low battery good, a new one does; a silent one is as it was', () => {
  const down = () =>
    along(batteryLow)
      .go(24, volts(GOOD))
      .go(24 * batteryDays, low)
  expect(
    down()
      .go(24 * 9, volts(GOOD * ((batteryLowShare + batteryOffShare) / 2)))
      .raised(),
  ).not.toBeNull()
  expect(
    down()
      .go(24 * 9, {})
      .raised(),
  ).not.toBeNull()
  expect(down().go(24, volts(GOOD)).raised()).toBeNull()
})

test('a cold night between good days is no low battery', () => {
  const going = along(batteryLow).go(24, volts(GOOD))
  for (let i = 0; i < 10; i++) going.go(24 * (batteryDays - 1), low).go(24, volts(GOOD))
  expect(going.heldHours()).toBe(0)
})

test('a probe is bad after a day of unusable hours, and good after a day of usable ones', () => {
  const stuck = { marks: markBit('stuck') }
  expect(
    along(probeBad)
      .go(badProbeHours - 1, stuck)
      .raised(),
  ).toBeNull()
  const bad = along(probeBad).go(badProbeHours, stuck)
  expect(bad.raised()).toMatchObject({ since: START, urgency: 'soon', audience: ['contractor'] })
  expect(bad.go(badProbeHours - 1, {}).raised()).not.toBeNull()
  expect(bad.go(1, {}).raised()).toBeNull()
})

test('spikes of a visit, a saturated sensor and silence are no fault of the probe', () => {
  for (const kind of ['spike', 'saturated', 'gap', 'battery dying'] as const) {
    expect(
      along(probeBad)
        .go(200, { marks: markBit(kind) })
        .raised(),
      kind,
    ).toBeNull()
  }
  const silent = { marks: markBit('stuck'), heard: false }
  expect(along(probeBad).go(200, silent).raised()).toBeNull()
  expect(
    along(probeBad)
      .go(200, { marks: markBit('unit swap') | markBit('spike') })
      .raised(),
  ).not.toBeNull()
})
