import { expect, test } from 'vitest'
import { condensation } from '../../../server/watch/rules/condensation.ts'
import { along, type Going, HOUR, held, type Made, START } from './along.ts'

const { condensationHoursPerDay, condensationDays, condensationOffDays, condensationOfDays } = held
const SURFACE = { coldSurfaceTempC: 14, coldSurfaceName: 'supply duct' }
const dripping = { dewPointMaxC: 16, around: SURFACE }
const dry = { dewPointMaxC: 12, around: SURFACE }

function days(going: Going, count: number, wetHours: number, wet: Made = dripping): Going {
  for (let day = 0; day < count; day++) going.go(wetHours, wet).go(24 - wetHours, dry)
  return going
}
const enough = condensationHoursPerDay + 1

test('raised after enough days of a week with more hours of dripping than allowed, to the contractor alone', () => {
  expect(days(along(condensation), condensationDays - 1, enough).raised()).toBeNull()
  expect(days(along(condensation), 20, condensationHoursPerDay).raised()).toBeNull()
  expect(days(along(condensation), condensationDays, enough).raised()).toMatchObject({
    since: START,
    sureAt: START + condensationDays * 24 * HOUR,
    urgency: 'soon',
    audience: ['contractor'],
    about: 'supply duct',
    numbers: { condensingHoursPerDay: enough },
  })
})

test('days too far apart are chance', () => {
  const going = along(condensation)
  for (let week = 0; week < 4; week++) days(days(going, condensationDays - 1, enough), condensationOfDays, 0)
  expect(going.heldHours()).toBe(0)
})

test('over after a week of dry days; days that nobody heard are not dry', () => {
  const wet = () => days(along(condensation), condensationDays, enough)
  expect(days(wet(), condensationOffDays - 1, 0).raised()).not.toBeNull()
  expect(days(wet(), condensationOffDays, 0).raised()).toBeNull()
  const silent = { heard: false, around: { coldSurfaceName: 'supply duct' } }
  const quiet = wet().go(24 * 30, silent)
  expect(quiet.raised()).not.toBeNull()
  expect(days(quiet, condensationOffDays, 0).raised()).toBeNull()
})

test('without a cold surface there is nothing to drip from; a measured one speaks before an entered one', () => {
  expect(days(along(condensation), 10, 20, { dewPointMaxC: 16 }).raised()).toBeNull()
  const measured = { ...dripping, surfaceTempC: 17 }
  expect(days(along(condensation), 10, 20, measured).raised()).toBeNull()
})

test('on a surface below 0 °C frost forms from air that is too dry to drip there', () => {
  // Saturation of -10.5 °C over water is above that of -10 °C over ice (physics/saturation.ts).
  const frost = { dewPointMaxC: -10.5, surfaceTempC: -10 }
  expect(days(along(condensation), condensationDays, enough, frost).raised()).not.toBeNull()
  const above = { dewPointMaxC: 9.5, surfaceTempC: 10 }
  expect(days(along(condensation), condensationDays, enough, above).raised()).toBeNull()
})
