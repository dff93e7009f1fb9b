import { expect, test } from 'vitest'
import { dewPointC, saturationPa } from '../../demo-data/generator/air.ts'
import { inventWeather } from '../../demo-data/generator/weather.ts'

const climate = {
  latitude: 34.6,
  meanTempC: 16.6,
  tempAmplitudeC: 9.6,
  meanDewPointC: 11.2,
  dewPointAmplitudeC: 9.8,
  rainMmPerYear: 1250,
  meanWindMS: 2.6,
}
const YEAR_HOURS = 8766
const start = Date.UTC(2024, 0, 1)
const years = Array.from({ length: 8 }, (_, k) => inventWeather(climate, start, YEAR_HOURS, -5, 100 + k))
const mean = (values: Iterable<number>) => {
  const all = [...values]
  return all.reduce((a, b) => a + b, 0) / all.length
}
const month = (column: Float64Array, first: number) => column.subarray(first * 730, (first + 1) * 730)

test('eight years have the climate that was asked for', () => {
  // A year's rain varies by some 15 %, so the mean of eight by about 5 %; three times that is allowed.
  const rain = mean(years.map((w) => w.rainMm.reduce((a, b) => a + b, 0)))
  expect(Math.abs(rain / climate.rainMmPerYear - 1)).toBeLessThan(0.16)
  expect(Math.abs(mean(years.map((w) => mean(w.tempC))) - climate.meanTempC)).toBeLessThan(0.8)
  expect(Math.abs(mean(years.map((w) => mean(w.windMS))) / climate.meanWindMS - 1)).toBeLessThan(0.15)
  const july = mean(years.map((w) => mean(month(w.vaporPressurePa, 6))))
  const january = mean(years.map((w) => mean(month(w.vaporPressurePa, 0))))
  expect(dewPointC(july)).toBeGreaterThan(18)
  expect(dewPointC(july)).toBeLessThan(23)
  expect(dewPointC(january)).toBeLessThan(6)
})

test('air never holds more than saturation, rain and wind are never negative, nights are dark', () => {
  for (const w of years) {
    expect(w.vaporPressurePa.every((pa, i) => pa <= saturationPa(w.tempC[i]!))).toBe(true)
    expect(w.rainMm.every((mm) => mm >= 0)).toBe(true)
    expect(w.windMS.every((wind) => wind > 0)).toBe(true)
    expect(w.solarWM2[5]).toBe(0)
  }
})

test('afternoons are the warmest part of the day in local time', () => {
  const byHour = Array.from({ length: 24 }, (_, utc) => mean(years[0]!.tempC.filter((_, i) => i % 24 === utc)))
  const warmestLocal = (byHour.indexOf(Math.max(...byHour)) - 5 + 24) % 24
  expect(warmestLocal).toBeGreaterThanOrEqual(14)
  expect(warmestLocal).toBeLessThanOrEqual(17)
})

test('wet summer days follow wet days more often than chance', () => {
  let wet = 0
  let days = 0
  let both = 0
  for (const w of years) {
    const daily = Array.from({ length: 92 }, (_, d) => {
      const from = (152 + d) * 24
      return w.rainMm.subarray(from, from + 24).reduce((a, b) => a + b, 0) > 1
    })
    for (let d = 1; d < daily.length; d++) {
      days++
      if (daily[d]) wet++
      if (daily[d] && daily[d - 1]) both++
    }
  }
  expect(both / days).toBeGreaterThan(1.15 * (wet / days) ** 2)
})
