import { expect, test } from 'vitest'
import { HOUR_MS, type Work } from '../../server/moisture/input.ts'
import { groupWorks, partsOf, planWorks } from '../../server/moisture/works.ts'
import { plainRecord } from '../support/plainRecord.ts'

const DAY = 24 * HOUR_MS
const record = plainRecord(200)
const work = (key: string, day: number, kind: Work['kind'], more: Partial<Work> = {}): Work => ({
  key,
  kind,
  from: record.startAt + day * DAY,
  ...more,
})

test('works less than seven days apart are answered for together, each chained to the last', () => {
  const works = [
    work('a', 50, 'ground cover'),
    work('b', 55, 'vents sealed'),
    work('c', 61, 'dehumidifier'),
    work('d', 80, 'other'),
  ]
  const groups = groupWorks({ ...record, works })
  expect(groups.map((g) => g.keys)).toEqual([['a', 'b', 'c'], ['d']])
  expect(groups[0]).toMatchObject({ fromHour: 1200, windowEndHour: 1920 })
  expect(groups[1]).toMatchObject({ windowEndHour: 4800 })
})

test('works outside the record belong to its starting state or its future', () => {
  expect(groupWorks({ ...record, works: [work('a', -5, 'ground cover'), work('b', 250, 'other')] })).toEqual([])
})

test('a trial that was undone ends its window on that day', () => {
  const works = [work('a', 50, 'dehumidifier', { to: record.startAt + 64 * DAY })]
  expect(groupWorks({ ...record, works })[0]!.windowEndHour).toBe(64 * 24)
})

test('an encapsulation is a cover and closed vents; details of a machine add the machine; named parts win', () => {
  expect(partsOf(work('a', 1, 'encapsulation'))).toEqual(['vents sealed', 'ground cover'])
  expect(partsOf(work('a', 1, 'encapsulation', { details: { ratedLPerDay: 33 } }))).toContain('dehumidifier')
  expect(partsOf(work('a', 1, 'encapsulation', { parts: ['ground cover', 'repair'] }))).toEqual([
    'ground cover',
    'repair',
  ])
})

test('each kind frees what it can change and nothing else', () => {
  const targets = (kind: Work['kind']) =>
    planWorks({ ...record, works: [work('a', 50, kind)] }, 130).steps.map((s) => s.target)
  expect(targets('vents sealed')).toEqual(['air'])
  expect(targets('ground cover')).toEqual(['ground', 'wetGround'])
  expect(targets('yard drain')).toEqual(['rain'])
  expect(targets('other')).toEqual(['airFactor', 'ground', 'rain'])
  expect(targets('dehumidifier')).toEqual([])
  expect(planWorks({ ...record, works: [work('a', 50, 'repair')] }, 130).repairHours).toEqual([1200])
})
