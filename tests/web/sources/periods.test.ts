import { expect, test } from 'vitest'
import { besides, lastToldPeriod, type Path, periodAt, periodsOf, type Sources } from '../../../web/sources/periods.ts'

const nothing = { low: 0, mid: 0, high: 0 }
const amount = (mid: number) => ({ low: mid / 2, mid, high: mid * 2 })
const path = (rank: number | null) => ({ path: 'ground', rank }) as Path
const sources = (
  from: number,
  to: number,
  basis: Sources['basis'],
  rank: number | null,
  more: Partial<Sources> = {},
): Sources => ({
  from,
  to,
  works: [],
  basis,
  paths: [path(rank)],
  woodGivesLPerDay: nothing,
  woodTakesLPerDay: nothing,
  machineLPerDay: nothing,
  condensesLPerDay: nothing,
  caution: null,
  ...more,
})
const MIXED = [
  sources(100, 200, 'to hold the target', 1),
  sources(0, 100, 'to hold the target', 1),
  sources(100, 200, 'as it is', 1),
  sources(200, 300, 'as it is', null),
  sources(0, 100, 'as it is', 1),
]

test('periods stand in order, each with its bases, as it is first', () => {
  expect(periodsOf(MIXED).map(({ from, to, bases }) => [from, to, bases.map(({ basis }) => basis)])).toEqual([
    [0, 100, ['as it is', 'to hold the target']],
    [100, 200, ['as it is', 'to hold the target']],
    [200, 300, ['as it is']],
  ])
})

test('the period shown first is the last that ranks a path, else the last', () => {
  expect(lastToldPeriod(periodsOf(MIXED))).toBe(1)
  expect(lastToldPeriod(periodsOf([sources(0, 1, 'as it is', null), sources(1, 2, 'as it is', null)]))).toBe(1)
})

test('an instant belongs to the period that holds it, before the first to the first, after the last to the last', () => {
  const periods = periodsOf(MIXED)
  expect([-5, 0, 99, 100, 250, 900].map((at) => periodAt(periods, at)?.from)).toEqual([0, 0, 0, 100, 200, 200])
})

test('wood, machine and cold surfaces are told where there is something to tell', () => {
  expect(besides(sources(0, 1, 'as it is', 1))).toEqual([])
  const given = sources(0, 1, 'as it is', 1, { woodGivesLPerDay: amount(1), machineLPerDay: amount(3) })
  expect(besides(given).map(({ name, enters, leaves }) => [name, enters?.mid ?? null, leaves.mid])).toEqual([
    ['the wood', 1, 0],
    ['dehumidifier', null, 3],
  ])
})
