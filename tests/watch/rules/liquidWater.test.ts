import { expect, test } from 'vitest'
import { liquidWater } from '../../../server/watch/rules/liquidWater.ts'
import { along, type Going, HOUR, held, type Made } from './along.ts'

/** Readings of the hour to come, spread over it. */
function hear(going: Going, said: boolean[], around: Made['around'] = {}): Going {
  const water = said.map((present, i) => ({ at: going.at() + (i * HOUR) / said.length, present }))
  const waterPresentShare = said.filter(Boolean).length / said.length
  return going.go(1, { waterPresentShare, water: waterPresentShare > 0 ? water : [], around })
}
const dry = { waterPresentShare: 0 }

test('two wet readings in a row are water, one is a splash', () => {
  expect(hear(along(liquidWater), [false, true]).raised()).toBeNull()
  expect(hear(along(liquidWater), [true, false, true, false]).raised()).toBeNull()
  expect(hear(hear(along(liquidWater), [true]).go(1, dry), [true]).raised()).toBeNull()
  const going = hear(along(liquidWater), [false, true, true, true])
  expect(going.raised()).toMatchObject({ urgency: 'urgent', audience: ['owner', 'contractor'], circumstances: [] })
  expect(going.raised()!.sureAt - going.raised()!.since).toBe(HOUR / 4)
})

test('a splash and a later reading are two in a row when nothing dry lies between', () => {
  const going = hear(hear(along(liquidWater), [false, true]).go(3, {}), [true])
  expect(going.raised()!.since).toBe(going.at() - 4.5 * HOUR)
})

test('gone after hours that were heard dry; silence does not dry it', () => {
  const wet = () => hear(along(liquidWater), [true, true])
  expect(
    wet()
      .go(held.liquidOffHours - 1, dry)
      .raised(),
  ).not.toBeNull()
  expect(wet().go(held.liquidOffHours, dry).raised()).toBeNull()
  expect(wet().go(300, {}).raised()).not.toBeNull()
  const again = hear(wet().go(held.liquidOffHours - 1, dry), [true, false])
  expect(again.go(held.liquidOffHours - 1, dry).raised()).not.toBeNull()
})

test('after a big rain it is a note to the contractor until drains are done, and urgent to all afterwards', () => {
  const rain = { rain72Mm: held.bigRainMm }
  expect(hear(along(liquidWater), [true, true], rain).raised()).toMatchObject({
    urgency: 'note',
    audience: ['contractor'],
    circumstances: ['after big rain'],
  })
  expect(hear(along(liquidWater), [true, true], { ...rain, drained: true }).raised()).toMatchObject({
    urgency: 'urgent',
    audience: ['owner', 'contractor'],
    circumstances: ['after big rain', 'after drain work'],
  })
  const little = hear(along(liquidWater), [true, true], { rain72Mm: held.bigRainMm - 0.1 })
  expect(little.raised()!.urgency).toBe('urgent')
})
