import { expect, test } from 'vitest'
import type { EffectSeries } from '../../server/http/contract/effectSeries.ts'
import { effectPicture } from '../../web/effects/chart.ts'

const DAY_MS = 86_400_000
const SERIES: EffectSeries = {
  works: ['drain'],
  at: [0, DAY_MS, 2 * DAY_MS],
  measuredDewPointC: [7, null, 5.5],
  withoutDewPointC: { low: [6.9, null, 6.2], mid: [7, null, 7], high: [7.1, null, 7.7] },
  excluded: [],
}

test('before the work nothing "would have been", and a day that was not measured stays a gap', () => {
  const picture = effectPicture(SERIES, DAY_MS, (celsius) => celsius * 1.8 + 32)
  expect(picture.asItWas.map(({ y }) => y)).toEqual([44.6, Number.NaN, 41.9])
  expect(picture.without.map(({ y }) => y)).toEqual([Number.NaN, Number.NaN, 44.6])
  expect(picture.high[2]!.y).toBeGreaterThan(picture.low[2]!.y)
})

test('days stand at their noon, and the picture ends with the last day', () => {
  const picture = effectPicture(SERIES, DAY_MS, (value) => value)
  expect(picture.asItWas[0]!.x).toBe(DAY_MS / 2)
  expect([picture.from, picture.to]).toEqual([0, 3 * DAY_MS])
})
