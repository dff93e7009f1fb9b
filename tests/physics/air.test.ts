import fc from 'fast-check'
import { expect, test } from 'vitest'
import * as air from '../../server/physics/air.ts'
import { humidityRatioFromWetBulb, wetBulbC } from '../../server/physics/wetBulb.ts'

const tempC = (min: number, max: number) => fc.double({ min, max, noNaN: true })
const rhPct = fc.double({ min: 1, max: 100, noNaN: true })

test('the dew point of a saturation pressure is its temperature, from -60 to 100 °C', () => {
  fc.assert(
    fc.property(tempC(-60, 100), (t) => {
      expect(air.dewPointC(air.saturationVaporPressurePa(t))).toBeCloseTo(t, 8)
    }),
  )
})

test('the frost point of a saturation pressure over ice is its temperature, from -100 to 0.01 °C', () => {
  fc.assert(
    fc.property(tempC(-100, 0.01), (t) => {
      expect(air.frostPointC(air.saturationVaporPressureIcePa(t))).toBeCloseTo(t, 8)
    }),
  )
})

test('saturation pressure rises with temperature, over water and over ice', () => {
  fc.assert(
    fc.property(tempC(-60, 99), (t) => {
      expect(air.saturationVaporPressurePa(t + 0.5)).toBeGreaterThan(air.saturationVaporPressurePa(t))
    }),
  )
  fc.assert(
    fc.property(tempC(-100, -1), (t) => {
      expect(air.saturationVaporPressureIcePa(t + 0.5)).toBeGreaterThan(air.saturationVaporPressureIcePa(t))
    }),
  )
})

test('below freezing the pressure over ice is lower than over supercooled water, so frost comes before dew', () => {
  fc.assert(
    fc.property(tempC(-60, -0.01), rhPct, (t, rh) => {
      expect(air.saturationVaporPressureIcePa(t)).toBeLessThan(air.saturationVaporPressurePa(t))
      const vaporPa = air.vaporPressurePa(t, rh)
      fc.pre(vaporPa > 2)
      expect(air.frostPointC(vaporPa)).toBeGreaterThan(air.dewPointC(vaporPa))
    }),
  )
})

// Sonntag 1990, terms as read in public codes except 2.433502 (from memory). An independent equation for supercooled
// water; the two part slowly as it gets colder: 0.03 % at -20, 0.09 % at -40, 0.19 % at -60 °C.
test.each([
  [-20, 0.0005],
  [-40, 0.001],
  [-60, 0.002],
])('over supercooled water at %d °C we are within %d of Sonntag', (t, tolerance) => {
  const T = t + 273.15
  const sonntagPa = Math.exp(
    -6096.9385 / T + 21.2409642 - 2.711193e-2 * T + 1.673952e-5 * T ** 2 + 2.433502 * Math.log(T),
  )
  expect(Math.abs(air.saturationVaporPressurePa(t) / sonntagPa - 1)).toBeLessThan(tolerance)
})

test('dew point is never above the air temperature, and equals it at 100 %', () => {
  fc.assert(
    fc.property(tempC(-30, 60), rhPct, (t, rh) => {
      fc.pre(air.vaporPressurePa(t, rh) > 2) // drier air has no dew point in range
      expect(air.dewPointFromRhC(t, rh)).toBeLessThanOrEqual(t + 1e-9)
      expect(air.dewPointFromRhC(t, 100)).toBeCloseTo(t, 8)
    }),
  )
})

test('RH, vapor pressure and humidity ratio give each other back', () => {
  fc.assert(
    fc.property(tempC(-40, 60), rhPct, fc.double({ min: 60_000, max: 110_000, noNaN: true }), (t, rh, pressurePa) => {
      const vaporPa = air.vaporPressurePa(t, rh)
      expect(air.rhPctFromVaporPressure(t, vaporPa)).toBeCloseTo(rh, 9)
      const ratio = air.humidityRatio(vaporPa, pressurePa)
      expect(air.vaporPressureFromHumidityRatioPa(ratio, pressurePa) / vaporPa).toBeCloseTo(1, 10)
    }),
  )
})

test('warming air and cooling it back gives the RH back', () => {
  fc.assert(
    fc.property(tempC(-40, 60), fc.double({ min: 1, max: 50, noNaN: true }), tempC(0, 5), (t, rh, warmer) => {
      const there = air.rhAtOtherTemperaturePct(t, rh, t + warmer)
      expect(there).toBeLessThanOrEqual(rh)
      expect(air.rhAtOtherTemperaturePct(t + warmer, there, t)).toBeCloseTo(rh, 9)
    }),
  )
})

test('the wet bulb lies between dew (or frost) point and air temperature', () => {
  fc.assert(
    fc.property(tempC(-30, 60), fc.double({ min: 5, max: 99, noNaN: true }), (t, rh) => {
      const vaporPa = air.vaporPressurePa(t, rh)
      fc.pre(t >= 0 || vaporPa < air.saturationVaporPressureIcePa(t))
      const bulbC = wetBulbC(t, rh, 101_325)
      expect(bulbC).toBeLessThanOrEqual(t)
      const lowest = bulbC < 0 ? air.frostPointC(Math.min(vaporPa, 611)) : air.dewPointC(vaporPa)
      expect(bulbC).toBeGreaterThanOrEqual(lowest - 0.01)
    }),
  )
})

test('both thermometers of a psychrometer give the vapor pressure back', () => {
  fc.assert(
    fc.property(tempC(-25, 55), fc.double({ min: 3, max: 99, noNaN: true }), (t, rh) => {
      const vaporPa = air.vaporPressurePa(t, rh)
      fc.pre(t >= 0 || vaporPa < air.saturationVaporPressureIcePa(t))
      const ratio = humidityRatioFromWetBulb(t, wetBulbC(t, rh, 95_000), 95_000)
      expect(ratio).toBeCloseTo(air.humidityRatio(vaporPa, 95_000), 9)
    }),
  )
})

test('saturated air has its own temperature as wet bulb, also between ice and water saturation', () => {
  expect(wetBulbC(20, 100, 101_325)).toBeCloseTo(20, 6)
  expect(wetBulbC(-20, 95, 101_325)).toBe(-20)
})

test('a wet bulb colder than dry air allows is refused', () => {
  expect(() => humidityRatioFromWetBulb(30, 2, 101_325)).toThrow('wet bulb of dry air at 30 °C, got 2')
})

const BAD_CALLS: readonly [string, () => number, string][] = [
  ['water below', () => air.saturationVaporPressurePa(-60.1), 'tempC must be between -60 and 100 °C, got -60.1'],
  ['water above', () => air.saturationVaporPressurePa(100.1), 'tempC must be between -60 and 100 °C, got 100.1'],
  ['water NaN', () => air.saturationVaporPressurePa(Number.NaN), 'tempC must be between -60 and 100 °C, got NaN'],
  ['ice below', () => air.saturationVaporPressureIcePa(-101), 'tempC must be between -100 and 0.01 °C'],
  ['ice above', () => air.saturationVaporPressureIcePa(0.02), 'tempC must be between -100 and 0.01 °C'],
  ['RH below', () => air.vaporPressurePa(20, -0.1), 'rhPct must be between 0 and 105 %, got -0.1'],
  ['RH above', () => air.vaporPressurePa(20, 105.1), 'rhPct must be between 0 and 105 %, got 105.1'],
  ['dew point of dry air', () => air.dewPointC(0), 'vaporPressurePa must be between'],
  ['dew point above', () => air.dewPointC(101_500), 'vaporPressurePa must be between'],
  ['dew point at 0 %', () => air.dewPointFromRhC(20, 0), 'vaporPressurePa must be between'],
  ['frost point above', () => air.frostPointC(612), 'vaporPressurePa must be between'],
  ['frost point below', () => air.frostPointC(0.001), 'vaporPressurePa must be between'],
  ['RH of negative vapor', () => air.rhPctFromVaporPressure(20, -1), 'vaporPressurePa must be between 0'],
  ['RH elsewhere', () => air.rhAtOtherTemperaturePct(20, 50, 101), 'otherTempC must be between -60 and 100 °C'],
  ['low pressure', () => air.humidityRatio(1000, 29_999), 'pressurePa must be between 30000 and 120000 Pa'],
  ['high pressure', () => air.humidityRatio(1000, 120_001), 'pressurePa must be between 30000 and 120000 Pa'],
  ['vapor above half', () => air.humidityRatio(51_000, 101_325), 'vaporPressurePa must be between 0 and 50662.5 Pa'],
  ['a ratio in g/kg', () => air.vaporPressureFromHumidityRatioPa(8, 101_325), 'humidityRatio must be between 0'],
  ['enthalpy of a ratio in g/kg', () => air.enthalpyKjKg(20, 8), 'humidityRatio must be between 0'],
  ['volume at no pressure', () => air.specificVolumeM3Kg(20, 0.01, 1013), 'pressurePa must be between 30000'],
  ['density above', () => air.vaporDensityGM3(101, 10), 'tempC must be between -60 and 100 °C'],
  ['elevation below', () => air.standardPressurePa(-501), 'elevationM must be between -500 and 9000 m'],
  ['elevation above', () => air.standardPressurePa(9001), 'elevationM must be between -500 and 9000 m'],
  ['wet bulb below', () => wetBulbC(-41, 50, 101_325), 'tempC must be between -40 and 60 °C'],
  ['wet bulb above', () => wetBulbC(61, 50, 101_325), 'tempC must be between -40 and 60 °C'],
  ['wet bulb in hPa', () => wetBulbC(20, 50, 1013), 'pressurePa must be between 30000'],
  ['bulb above dry bulb', () => humidityRatioFromWetBulb(20, 21, 101_325), 'bulbC must be between -40 and 20 °C'],
]

test.each(BAD_CALLS)('%s is refused with the argument and its range', (_name, call, message) => {
  expect(call).toThrow(RangeError)
  expect(call).toThrow(message)
})
