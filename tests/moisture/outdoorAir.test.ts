import { expect, test } from 'vitest'
import { thresholds } from '../../server/advice/thresholds.ts'
import { outdoorAirByMonth } from '../../server/moisture/outdoorAir.ts'
import { column, observedOf, outdoorOf, spotWithVapor } from './made.ts'

const limits = thresholds()
// 24 days of January (the record begins on the 8th) and all of February 2024, New York.
const hours = (24 + 29) * 24
const january = 24 * 24
const inside = spotWithVapor(hours, 1500, 16)

const answerOf = (outdoorPa: (h: number) => number, sideBySide = false, spots = [inside]) => {
  const answer = outdoorAirByMonth(
    observedOf(hours, spots, { outdoor: outdoorOf(hours, 20, outdoorPa) }),
    sideBySide,
    limits,
  )
  if (answer.kind !== 'known') throw new Error(answer.reason)
  return answer
}

test('hours that would have dried and wetted, by local month', () => {
  const { months } = answerOf((h) => (h < january ? 800 : h % 2 === 0 ? 1900 : 1550))
  expect(months.map(({ month, hours: all }) => [month, all])).toEqual([
    ['2024-01', january],
    ['2024-02', 29 * 24],
  ])
  expect(months[0]!.answer).toMatchObject({ kind: 'known', dryingHours: january, wettingHours: 0, would: 'dry' })
  // 1550 Pa is within what two sensors can part by; 1900 Pa is a dew point of 16.7 °C, above the 16 °C inside.
  expect(months[1]!.answer).toMatchObject({ wettingHours: 348, neitherHours: 348, condensingHours: 348, would: 'wet' })
})

test('after a side-by-side check 100 Pa count', () => {
  expect(answerOf(() => 1400).months[0]!.answer).toMatchObject({ neitherHours: january, would: 'neither' })
  expect(answerOf(() => 1400, true).months[0]!.answer).toMatchObject({ dryingHours: january, would: 'dry' })
})

test('a month with too many missing hours cannot be told; a few missing ones are left out and counted', () => {
  const { months } = answerOf((h) => (h < january ? (h < 200 ? 800 : Number.NaN) : h < january + 10 ? Number.NaN : 800))
  expect(months[0]!.answer).toEqual({
    kind: 'cannot tell',
    reason: 'Only 200 of 576 hours are known inside and outdoors.',
  })
  expect(months[1]!.knownHours).toBe(29 * 24 - 10)
})

test('a measured surface is the coldest one, else the coldest air stands for it', () => {
  expect(answerOf(() => 1200).coldestBasis).toBe('coldest air')
  const measured = answerOf(() => 1200, false, [{ ...inside, surfaceTempC: column(hours, 9) }])
  expect(measured.coldestBasis).toBe('measured surface')
  expect(measured.months[0]!.answer).toMatchObject({ condensingHours: january }) // 1200 Pa: dew point 9.7 °C
})

test('without outdoor air nothing is said', () => {
  expect(outdoorAirByMonth(observedOf(hours, [inside]), false, limits)).toMatchObject({ kind: 'cannot tell' })
})
