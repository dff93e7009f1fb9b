import { expect, test } from 'vitest'
import { machineStopped } from '../../../server/watch/rules/machineStopped.ts'
import { along, HOUR, held, START } from './along.ts'

const { machineOffHours, machineOffRhPct, closedOffRhPct, powerOffW } = held
const SET = 50
const still = (spaceRhPct: number) => ({ powerW: powerOffW - 1, around: { spaceRhPct, setPointRhPct: SET } })
const damp = still(SET + machineOffRhPct + 1)

test('raised when it stood still long enough in air above its set point', () => {
  expect(
    along(machineStopped)
      .go(machineOffHours - 1, damp)
      .raised(),
  ).toBeNull()
  expect(along(machineStopped).go(machineOffHours, damp).raised()).toMatchObject({
    since: START,
    sureAt: START + machineOffHours * HOUR,
    urgency: 'soon',
    audience: ['owner', 'contractor'],
    numbers: { setPointRhPct: SET, powerW: powerOffW - 1 },
  })
})

test('rest in air that is dry enough is its work, and the count begins anew', () => {
  const rest = still(SET + machineOffRhPct)
  expect(along(machineStopped).go(500, rest).raised()).toBeNull()
  const hours = machineOffHours - 1
  expect(along(machineStopped).go(hours, damp).go(1, rest).go(hours, damp).raised()).toBeNull()
})

test('without a set point the lower line of a closed space stands for it', () => {
  const unknown = (spaceRhPct: number) => ({ powerW: 0, around: { spaceRhPct } })
  const line = closedOffRhPct + machineOffRhPct
  expect(along(machineStopped).go(100, unknown(line)).raised()).toBeNull()
  expect(
    along(machineStopped)
      .go(100, unknown(line + 1))
      .raised(),
  ).not.toBeNull()
})

test('over when it draws power again, and not because the weather turned dry or the meter fell silent', () => {
  const stopped = () => along(machineStopped).go(machineOffHours, damp)
  expect(stopped().go(100, still(30)).raised()).not.toBeNull()
  expect(
    stopped()
      .go(100, { around: { spaceRhPct: 30 } })
      .raised(),
  ).not.toBeNull()
  expect(
    stopped()
      .go(1, { ...damp, powerW: powerOffW })
      .raised(),
  ).toBeNull()
})

test('an unknown space says nothing', () => {
  expect(along(machineStopped).go(100, still(Number.NaN)).raised()).toBeNull()
})
