import { expect, test } from 'vitest'
import { keyFrom, placeWords } from '../../web/enter/editing.ts'
import { newHouse } from '../../web/enter/newHouse.tsx'
import { planSize } from '../../web/enter/spotPlan.tsx'

const spot = (x: number, y: number) => ({ key: 'a', name: 'a', x, y })

test('a plan is the rectangle of its area and perimeter, and holds every spot', () => {
  const { lengthM, widthM } = planSize({ floorAreaM2: 150, perimeterM: 50, spots: [] })
  expect(lengthM * widthM).toBeCloseTo(150)
  expect(2 * (lengthM + widthM)).toBeCloseTo(50)
  expect(planSize({ floorAreaM2: 150, perimeterM: 50, spots: [spot(30, 20)] })).toEqual({ lengthM: 30, widthM: 20 })
  // A perimeter too short for the area cannot be right: the usual shape is drawn.
  const usual = planSize({ floorAreaM2: 140, perimeterM: 10, spots: [] })
  expect(usual.lengthM * usual.widthM).toBeCloseTo(140)
})

test('keys are made of names, and never taken twice', () => {
  expect(keyFrom('14 Fernhollow Lane (invented)', [])).toBe('14-fernhollow-lane-invented')
  expect(keyFrom('Spot 1', ['spot-1', 'spot-1-2'])).toBe('spot-1-3')
  expect(keyFrom('¿?', [])).toBe('new')
})

test('a place in the house is said in words', () => {
  expect(placeWords('/works/2/from')).toBe('works 3 from')
})

test('a new house holds only what somebody said', () => {
  const house = newHouse('3 Test Lane', undefined, 'America/New_York', undefined)
  expect(house).not.toHaveProperty('place')
  expect(house.spaces[0]).not.toHaveProperty('kind')
  expect(house.spaces.map(({ role }) => role)).toEqual(['crawl space', 'outdoor'])
})
