// Cross-check against psychrolib 1.1.1, which implements the same handbook equations with its own code and solvers.
// It refers RH to ice below 0.01 °C; this program refers it to water, as sensors do. So below freezing only the
// saturation pressure over ice and the frost point are compared, and wet bulbs only where the bulb stays above 0.5 °C:
// near freezing a wet and an iced bulb can both be in balance, and the two programs choose differently.
import psychrolib from 'psychrolib'
import { expect, test } from 'vitest'
import * as air from '../../server/physics/air.ts'
import { wetBulbC } from '../../server/physics/wetBulb.ts'
import { seeded } from '../support/seeded.ts'

psychrolib.SetUnitSystem(psychrolib.SI)

const random = seeded(20_26)
const GRID = Array.from({ length: 3000 }, () => ({
  tempC: 0.02 + 49.98 * random(),
  rhPct: 5 + 94.9 * random(),
  pressurePa: 75_000 + 32_000 * random(),
}))

test('dew points are within 0.01 °C wherever dew forms', () => {
  const wet = GRID.filter(({ tempC, rhPct }) => air.dewPointFromRhC(tempC, rhPct) > 0.02)
  expect(wet.length).toBeGreaterThan(2000)
  for (const { tempC, rhPct } of wet) {
    const theirs = psychrolib.GetTDewPointFromRelHum(tempC, rhPct / 100)
    expect(Math.abs(air.dewPointFromRhC(tempC, rhPct) - theirs)).toBeLessThan(0.01)
  }
})

test('where its dew point is below freezing it is our frost point, within 0.01 °C', () => {
  const frosty = GRID.filter(({ tempC, rhPct }) => air.vaporPressurePa(tempC, rhPct) < 611)
  expect(frosty.length).toBeGreaterThan(100)
  for (const { tempC, rhPct } of frosty) {
    const theirs = psychrolib.GetTDewPointFromRelHum(tempC, rhPct / 100)
    expect(Math.abs(air.frostPointC(air.vaporPressurePa(tempC, rhPct)) - theirs)).toBeLessThan(0.01)
  }
})

test('humidity ratios are within 0.05 %, enthalpies and volumes within 0.01 %', () => {
  for (const { tempC, rhPct, pressurePa } of GRID) {
    const ratio = air.humidityRatio(air.vaporPressurePa(tempC, rhPct), pressurePa)
    const theirs = psychrolib.GetHumRatioFromRelHum(tempC, rhPct / 100, pressurePa)
    expect(Math.abs(ratio / theirs - 1)).toBeLessThan(0.0005)
    const enthalpy = psychrolib.GetMoistAirEnthalpy(tempC, ratio) / 1000
    expect(Math.abs(air.enthalpyKjKg(tempC, ratio) / enthalpy - 1)).toBeLessThan(0.0001)
    const volume = psychrolib.GetMoistAirVolume(tempC, ratio, pressurePa)
    expect(Math.abs(air.specificVolumeM3Kg(tempC, ratio, pressurePa) / volume - 1)).toBeLessThan(0.0001)
  }
})

test('wet bulbs are within 0.02 °C', () => {
  const thawed = GRID.map((row) => ({ ...row, bulbC: wetBulbC(row.tempC, row.rhPct, row.pressurePa) })).filter(
    ({ bulbC }) => bulbC > 0.5,
  )
  expect(thawed.length).toBeGreaterThan(2500)
  for (const { tempC, rhPct, pressurePa, bulbC } of thawed) {
    const theirs = psychrolib.GetTWetBulbFromRelHum(tempC, rhPct / 100, pressurePa)
    expect(Math.abs(bulbC - theirs)).toBeLessThan(0.02)
  }
})

test('below freezing, saturation over ice is within 0.001 % and wet bulbs of the same vapor within 0.003 °C', () => {
  for (let i = 0; i < 500; i++) {
    const tempC = -35 + 34.9 * random()
    const icePa = air.saturationVaporPressureIcePa(tempC)
    expect(Math.abs(icePa / psychrolib.GetSatVapPres(tempC) - 1)).toBeLessThan(1e-5)
    const rhOverIce = 0.2 + 0.78 * random()
    const rhPct = air.rhPctFromVaporPressure(tempC, rhOverIce * icePa)
    const theirs = psychrolib.GetTWetBulbFromRelHum(tempC, rhOverIce, 101_325)
    expect(Math.abs(wetBulbC(tempC, rhPct, 101_325) - theirs)).toBeLessThan(0.003) // its bisection stops at 0.001
  }
})
