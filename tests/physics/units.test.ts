import { expect, test } from 'vitest'
import * as units from '../../server/physics/units.ts'

// NIST SP 811 (2008), appendix B, and definitions: each pair of a US and an SI figure, to the digits printed there.
const DEFINITIONS: readonly [string, (value: number) => number, number, number][] = [
  ['°C from °F', units.celsiusFromFahrenheit, 212, 100],
  ['°C from °F, where both scales meet', units.celsiusFromFahrenheit, -40, -40],
  ['K from °C', units.kelvinFromCelsius, 0, 273.15],
  ['K from a difference in °F', units.kelvinDifferenceFromFahrenheit, 9, 5],
  ['Pa from inHg', units.paFromInchesOfMercury, 29.92, 101_320.8],
  ['Pa from mmHg', units.paFromMmOfMercury, 760, 101_325.01],
  ['Pa from psi', units.paFromPsi, 14.695949, 101_325],
  ['Pa from hPa', units.paFromHectopascals, 1013.25, 101_325],
  ['Pa from kPa', units.paFromKilopascals, 101.325, 101_325],
  ['mm from in', units.mmFromInches, 1, 25.4],
  ['m from ft', units.metersFromFeet, 1, 0.3048],
  ['m² from ft²', units.m2FromSquareFeet, 1, 0.09290304],
  ['m² from acres', units.m2FromAcres, 1, 4046.8564],
  ['m³ from ft³', units.m3FromCubicFeet, 1, 0.028316847],
  ['L from gal', units.litersFromGallons, 1, 3.785411784],
  ['L from pints', units.litersFromPints, 1, 0.473176473],
  ['L/day from pints/day', units.litersPerDayFromPintsPerDay, 70, 33.12235311],
  ['m³/s from gpm', units.m3sFromGpm, 1, 6.30902e-5],
  ['m³/s from ft³/s', units.m3sFromCubicFeetPerSecond, 1, 0.028316847],
  ['m³/h from cfm', units.m3hFromCfm, 1, 1.699011],
  ['m/s from mph', units.msFromMph, 1, 0.44704],
  ['kg from lb', units.kgFromPounds, 1, 0.45359237],
  ['humidity ratio from grains/lb', units.humidityRatioFromGrainsPerLb, 70, 0.01],
  ['humidity ratio from g/kg', units.humidityRatioFromGKg, 10, 0.01],
  ['kg/m² from lb/1000 ft²', units.kgM2FromPoundsPer1000Ft2, 1000, 4.882428],
  ['kg/(Pa s m²) from perms', units.permeanceFromPerms, 1, 5.72135e-11],
  ['J from Btu', units.joulesFromBtu, 1, 1055.056],
  ['W from Btu/h', units.wattsFromBtuPerHour, 1, 0.2930711],
  ['J from kWh', units.joulesFromKwh, 1, 3.6e6],
  ['m² K/W from R-value', units.m2kwFromRValue, 1, 0.1761102],
]

test.each(DEFINITIONS)('%s', (_name, convert, from, to) => {
  const scale = Math.max(Math.abs(to), 1e-12)
  expect(Math.abs(convert(from) - to) / scale).toBeLessThan(1e-6)
})

const PAIRS: readonly [string, (value: number) => number, (value: number) => number][] = [
  ['°F and °C', units.fahrenheitFromCelsius, units.celsiusFromFahrenheit],
  ['K and °C', units.celsiusFromKelvin, units.kelvinFromCelsius],
  ['differences', units.fahrenheitDifferenceFromKelvin, units.kelvinDifferenceFromFahrenheit],
  ['hPa', units.hectopascalsFromPa, units.paFromHectopascals],
  ['kPa', units.kilopascalsFromPa, units.paFromKilopascals],
  ['inHg', units.inchesOfMercuryFromPa, units.paFromInchesOfMercury],
  ['mmHg', units.mmOfMercuryFromPa, units.paFromMmOfMercury],
  ['psi', units.psiFromPa, units.paFromPsi],
  ['in', units.inchesFromMm, units.mmFromInches],
  ['ft', units.feetFromMeters, units.metersFromFeet],
  ['ft²', units.squareFeetFromM2, units.m2FromSquareFeet],
  ['acres', units.acresFromM2, units.m2FromAcres],
  ['ft³', units.cubicFeetFromM3, units.m3FromCubicFeet],
  ['gal', units.gallonsFromLiters, units.litersFromGallons],
  ['pints', units.pintsFromLiters, units.litersFromPints],
  ['pints/day', units.pintsPerDayFromLitersPerDay, units.litersPerDayFromPintsPerDay],
  ['gpm', units.gpmFromM3s, units.m3sFromGpm],
  ['ft³/s', units.cubicFeetPerSecondFromM3s, units.m3sFromCubicFeetPerSecond],
  ['cfm', units.cfmFromM3h, units.m3hFromCfm],
  ['mph', units.mphFromMs, units.msFromMph],
  ['lb', units.poundsFromKg, units.kgFromPounds],
  ['grains/lb', units.grainsPerLbFromHumidityRatio, units.humidityRatioFromGrainsPerLb],
  ['g/kg', units.gKgFromHumidityRatio, units.humidityRatioFromGKg],
  ['lb/1000 ft²', units.poundsPer1000Ft2FromKgM2, units.kgM2FromPoundsPer1000Ft2],
  ['perms', units.permsFromPermeance, units.permeanceFromPerms],
  ['Btu', units.btuFromJoules, units.joulesFromBtu],
  ['Btu/h', units.btuPerHourFromWatts, units.wattsFromBtuPerHour],
  ['kWh', units.kwhFromJoules, units.joulesFromKwh],
  ['R-value', units.rValueFromM2kw, units.m2kwFromRValue],
]

test.each(PAIRS)('%s: there and back gives the same number', (_name, there, back) => {
  for (const value of [-12.34, 0, 1, 987.65]) expect(back(there(value))).toBeCloseTo(value, 9)
})
