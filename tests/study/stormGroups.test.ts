/** Forty houses that one storm wetted are one group; whatever else goes on stays outside of it. */
import { expect, test } from 'vitest'
import { type StormHouse, type StormNotice, stormGroups } from '../../server/study/stormGroups.ts'

const HOUR = 3_600_000
const STORM = Date.UTC(2026, 5, 3, 14)

const water = (hoursAfter: number, more: Partial<StormNotice> = {}): StormNotice => ({
  watch: 'liquid water',
  sinceAt: STORM + hoursAfter * HOUR,
  openedAt: STORM + (hoursAfter + 1) * HOUR,
  acknowledgedBy: null,
  afterBigRain: true,
  rainMm: 40,
  places: 1,
  ...more,
})
const house = (key: string, notices: StormNotice[], stations: string[] = []): StormHouse => ({ key, stations, notices })
const keys = (group: { houses: string[] } | undefined) => group?.houses

test('forty houses of one storm are one group; dry ones, leaks and another storm are none of it', () => {
  const wet = Array.from({ length: 40 }, (_, i) => house(`h${i}`, [water(i, { rainMm: 30 + i })]))
  const others = [
    house('dry', []),
    house('leak', [water(3, { afterBigRain: false, rainMm: 2 })]),
    house('damp', [water(3, { watch: 'damp' })]),
    house('later storm', [water(24 * 9)]),
  ]
  const groups = stormGroups([...others, ...wet])
  expect(groups).toHaveLength(1)
  expect(new Set(groups[0]!.houses)).toEqual(new Set(wet.map(({ key }) => key)))
  expect(groups[0]).toMatchObject({
    from: STORM,
    to: STORM + 39 * HOUR,
    rainMm: { least: 30, most: 69 },
    unseen: 40,
  })
})

test('within a group liquid water comes first, then what nobody has seen, then the newest, then the most places', () => {
  const [group] = stormGroups([
    house('old', [water(0)]),
    house('seen', [water(8, { acknowledgedBy: 'Tess' })]),
    house('response', [water(9, { watch: 'rain response back' })]),
    house('new, two places', [water(7, { places: 2 })]),
    house('new', [water(7)]),
  ])
  expect(keys(group)).toEqual(['new, two places', 'new', 'old', 'seen', 'response'])
  expect(group!.unseen).toBe(4)
})

test('a house that knows of no rain belongs to the storm of its station; one without the station does not', () => {
  const unknown = { afterBigRain: false, rainMm: null }
  const [group] = stormGroups([
    house('known', [water(0)], ['airport']),
    house('neighbor', [water(5, unknown)], ['airport']),
    house('stranger', [water(5, unknown)], ['harbor']),
  ])
  expect(keys(group)?.toSorted()).toEqual(['known', 'neighbor'])
})

test('a storm longer than two days goes on at its station, and only there', () => {
  const [group] = stormGroups([
    house('first', [water(0)], ['airport']),
    house('second', [water(40)], ['airport']),
    house('third', [water(80)], ['airport']),
    house('elsewhere', [water(80)], ['harbor']),
  ])
  expect(keys(group)?.toSorted()).toEqual(['first', 'second', 'third'])
})

test('one house alone is no group', () => {
  expect(stormGroups([house('one', [water(0)]), house('dry', [])])).toEqual([])
})
