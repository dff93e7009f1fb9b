import fc from 'fast-check'
import { expect, test } from 'vitest'
import { amountsOf, arrowScale, arrowWidth, waterArrows } from '../../../web/drawing/arrows.ts'
import type { Path, Sources } from '../../../web/sources/periods.ts'

const estimate = (mid: number) => ({ low: mid * 0.5, mid, high: mid * 2 })
const path = (name: Path['path'], enters: number, more: Partial<Path> = {}): Path => ({
  path: name,
  entersLPerDay: estimate(enters),
  sharePct: estimate(20),
  leavesLPerDay: estimate(0),
  dataShare: 0.7,
  dashed: false,
  standing: 'told',
  rank: 1,
  evidenceFor: [],
  evidenceAgainst: [],
  wouldChangeIt: '',
  nextTest: '',
  numbers: {},
  ...more,
})
const sources = (paths: Path[], more: Partial<Sources> = {}): Sources => ({
  from: 0,
  to: 1,
  works: [],
  basis: 'as it is',
  paths,
  woodGivesLPerDay: estimate(0),
  woodTakesLPerDay: estimate(0),
  machineLPerDay: estimate(0),
  condensesLPerDay: estimate(0),
  caution: null,
  ...more,
})

const liters = fc.double({ min: 0.05, max: 200, noNaN: true })

test('widths of arrows that stand together are to one another as their liters a day, where the least width allows', () => {
  fc.assert(
    fc.property(fc.array(liters, { minLength: 2, maxLength: 5 }), (amounts) => {
      const scale = arrowScale(amounts, 'wide')
      const widths = amounts.map((amount) => arrowWidth(amount, scale))
      for (const [i, amount] of amounts.entries()) {
        expect(widths[i]).toBeGreaterThanOrEqual(2)
        expect(widths[i]).toBeLessThanOrEqual(40 + 1e-9)
        if (widths[i]! > 2) expect(widths[i]! / amount).toBeCloseTo(scale, 9)
      }
    }),
  )
})

test('the scale is the usual one until the largest arrow would pass the widest', () => {
  expect(arrowScale([3, 5], 'wide')).toBe(2.3)
  expect(arrowScale([3, 60], 'wide')).toBeCloseTo(40 / 60)
  expect(arrowScale([3, 60], 'phone')).toBeCloseTo(28 / 60)
  expect(arrowScale([], 'middle')).toBe(2.3)
})

test('a path is unsure when the data fixed less than half of it or it cannot be told', () => {
  const arrows = waterArrows(
    sources([
      path('ground', 5),
      path('outdoorAir', 4, { dashed: true }),
      path('rain', 3, { standing: 'cannot tell from humidity alone' }),
    ]),
    2,
  )
  expect(arrows.map(({ name, unsure, widthPx }) => [name, unsure, widthPx])).toEqual([
    ['ground', false, 10],
    ['outdoorAir', true, 8],
    ['rain', true, 6],
  ])
  expect(arrows[0]!.why).toBe('the readings fixed 70 % of it')
})

test('what leaves by a path, into the wood or by a machine is removed; what is too little is left out', () => {
  const of = sources(
    [path('house', 0.01, { leavesLPerDay: estimate(4) }), path('outdoorAir', 1, { leavesLPerDay: estimate(2) })],
    {
      woodTakesLPerDay: estimate(1.5),
      woodGivesLPerDay: estimate(0.5),
      machineLPerDay: estimate(8),
      condensesLPerDay: estimate(0.04),
    },
  )
  expect(waterArrows(of, 1).map(({ name, removed }) => [name, removed])).toEqual([
    ['outdoorAir', false],
    ['woodGives', false],
    ['outdoorAirLeaves', true],
    ['houseLeaves', true],
    ['woodTakes', true],
    ['machine', true],
  ])
  expect(Math.max(...amountsOf(of))).toBe(8)
})
