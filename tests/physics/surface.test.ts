import fc from 'fast-check'
import { expect, test } from 'vitest'
import { dewPointFromRhC, saturationVaporPressureIcePa, vaporPressurePa } from '../../server/physics/air.ts'
import * as surface from '../../server/physics/surface.ts'

const layers = { insideFilmM2kw: 0.03, insulationM2kw: 0.5, outsideFilmM2kw: 0.12 }
const pipe = { outerDiameterM: 0.022, thicknessM: 0.013, conductivityWMK: 0.04, outerFilmWM2K: 9 }

test('the surface lies between inside and air, and more insulation brings it closer to the air', () => {
  const resistance = fc.double({ min: 0, max: 5, noNaN: true })
  fc.assert(
    fc.property(fc.double({ min: -20, max: 24, noNaN: true }), resistance, (insideTempC, insulationM2kw) => {
      const at = surface.flatSurfaceTempC(25, insideTempC, { ...layers, insulationM2kw })
      expect(at).toBeGreaterThanOrEqual(insideTempC)
      expect(at).toBeLessThanOrEqual(25)
      const thicker = surface.flatSurfaceTempC(25, insideTempC, { ...layers, insulationM2kw: insulationM2kw + 0.1 })
      expect(thicker).toBeGreaterThan(at)
    }),
  )
})

test('the least insulation puts the surface exactly at the dew point', () => {
  const airTempC = fc.double({ min: 10, max: 35, noNaN: true })
  const rhPct = fc.double({ min: 40, max: 98, noNaN: true })
  fc.assert(
    fc.property(airTempC, rhPct, fc.double({ min: 1, max: 15, noNaN: true }), (tempC, rh, below) => {
      const dewC = dewPointFromRhC(tempC, rh)
      const coldC = dewC - below
      const insulationM2kw = surface.minimumInsulationM2kw(tempC, rh, coldC, 0.12)
      const bare = { insideFilmM2kw: 0, insulationM2kw, outsideFilmM2kw: 0.12 }
      expect(surface.flatSurfaceTempC(tempC, coldC, bare)).toBeCloseTo(dewC, 6)
    }),
  )
})

test('a surface above the dew point needs no insulation', () => {
  expect(surface.minimumInsulationM2kw(25, 50, 14, 0.12)).toBe(0)
})

test('condensation begins at the dew point, and below 0 °C at the frost point', () => {
  const dewC = dewPointFromRhC(24, 70)
  expect(surface.condenses(24, 70, dewC - 0.01)).toBe(true)
  expect(surface.condenses(24, 70, dewC + 0.01)).toBe(false)
  // 2 °C and 75 %: dew point -1.98, but frost from -1.75 °C on
  expect(dewPointFromRhC(2, 75)).toBeLessThan(-1.8)
  expect(vaporPressurePa(2, 75)).toBeGreaterThan(saturationVaporPressureIcePa(-1.8))
  expect(surface.condenses(2, 75, -1.8)).toBe(true)
  expect(surface.condenses(2, 75, -1.5)).toBe(false)
})

test('a thick jacket on a huge pipe behaves like a flat wall', () => {
  const huge = { outerDiameterM: 2, thicknessM: 0.01, conductivityWMK: 0.04, outerFilmWM2K: 1 / 0.12 }
  const flat = { insideFilmM2kw: 0, insulationM2kw: 0.25, outsideFilmM2kw: 0.12 }
  expect(surface.pipeSurfaceTempC(25, 8, huge)).toBeCloseTo(surface.flatSurfaceTempC(25, 8, flat), 1)
})

const BAD_CALLS: readonly [string, () => unknown, string][] = [
  ['air too hot', () => surface.flatSurfaceTempC(101, 10, layers), 'airTempC must be between -60 and 100 °C'],
  ['inside too cold', () => surface.flatSurfaceTempC(20, -61, layers), 'insideTempC must be between -60 and 100 °C'],
  [
    'an R-value in US units by mistake',
    () => surface.flatSurfaceTempC(20, 10, { ...layers, insulationM2kw: 30 }),
    'insulationM2kw must be between 0 and 20 m² K/W, got 30',
  ],
  [
    'no resistance at all',
    () => surface.flatSurfaceTempC(20, 10, { insideFilmM2kw: 0, insulationM2kw: 0, outsideFilmM2kw: 0 }),
    'The sum of the layers must be greater than 0',
  ],
  [
    'a pipe in millimeters',
    () => surface.pipeSurfaceTempC(20, 10, { ...pipe, outerDiameterM: 22 }),
    'outerDiameterM must be between 0.003 and 2 m, got 22',
  ],
  [
    'a jacket in millimeters',
    () => surface.pipeSurfaceTempC(20, 10, { ...pipe, thicknessM: 13 }),
    'thicknessM must be between 0 and 0.5 m, got 13',
  ],
  ['saturated air', () => surface.minimumInsulationM2kw(20, 100, 10, 0.12), 'rhPct must be between 0 and 99.9 %'],
  ['no film', () => surface.minimumInsulationM2kw(20, 60, 5, 0), 'outsideFilmM2kw must be between 0.01 and 1'],
  ['a surface out of range', () => surface.surfaceRhPct(20, 60, 101), 'otherTempC must be between -60 and 100 °C'],
]

test.each(BAD_CALLS)('%s is refused with the argument and its range', (_name, call, message) => {
  expect(call).toThrow(RangeError)
  expect(call).toThrow(message)
})
