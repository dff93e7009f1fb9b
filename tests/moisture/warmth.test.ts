import { expect, test } from 'vitest'
import { dimensionsOf } from '../../server/moisture/dimensions.ts'
import type { HouseRecord } from '../../server/moisture/input.ts'
import { NO_FINDINGS } from '../../server/moisture/parameters.ts'
import { lowPass, meanOf, prepareRecord } from '../../server/moisture/prepare.ts'
import { spaceTemperatureIn, temperatureChange, temperatureToLastState } from '../../server/moisture/temperature.ts'
import { fitWarmth } from '../../server/moisture/warmth.ts'
import { planWorks } from '../../server/moisture/works.ts'
import { dayOf, plainRecord, plainWeather } from '../support/plainRecord.ts'

const DAYS = 200
const hours = DAYS * 24
const base = plainRecord(DAYS)
const { outdoorTempC } = plainWeather(hours)
const slow = lowPass(outdoorTempC, 720, meanOf(outdoorTempC.subarray(0, 240)))
const fast = lowPass(outdoorTempC, 12, outdoorTempC[0]!)
const OFFSET = 7
const [SLOW, FAST] = [0.35, 0.25]
const steady = (h: number) => (OFFSET + SLOW * slow[h]!) / (1 - FAST)

function warmthOf(tempC: (h: number) => number, works: HouseRecord['works']) {
  const column = Float64Array.from({ length: hours }, (_, h) => tempC(h))
  const spots = [{ key: 'joist', tempC: column, vaporPressurePa: column.map(() => 1200) }]
  const record: HouseRecord = { ...base, spots, works }
  const prepared = prepareRecord(record)
  if ('cannotTell' in prepared) throw new Error(prepared.cannotTell)
  const size = dimensionsOf(record.geometry)
  const plan = planWorks(record, size.volumeM3)
  return fitWarmth(prepared, plan, NO_FINDINGS, size, (hour) => (hour < 100 * 24 ? 2 : 0.3))
}
const plain = (h: number) => OFFSET + SLOW * slow[h]! + FAST * fast[h]!

test('a machine that warmed the space by two kelvin is found to, and the hours before it are brought to its state', () => {
  const works = [{ key: 'machine', kind: 'dehumidifier' as const, from: dayOf(base, 100) }]
  const warmth = warmthOf((h) => plain(h) + (h >= 2400 ? 2 : 0), works)
  const change = temperatureChange(warmth, warmth.coefficients, new Set(['machine']))!
  expect(change[1000]).toBe(0)
  expect(Math.abs(change[4000]! - 2)).toBeLessThan(0.3) // the prior of 1.5 ± 1.5 K pulls a little
  const toLast = temperatureToLastState(warmth, warmth.coefficients)!
  expect(toLast[1000]).toBeCloseTo(change[4000]!, 9)
  expect(toLast[4000]).toBe(0)
})

test('sealed vents loosen the tie to outdoor air: warm days are cooler in the space', () => {
  const works = [{ key: 'vents', kind: 'vents sealed' as const, from: dayOf(base, 100) }]
  const tempC = (h: number) => plain(h) - (h >= 2400 ? 0.1 * (fast[h]! - steady(h)) : 0)
  const warmth = warmthOf(tempC, works)
  expect(warmth.tie(2, 0.3).mean).toBeLessThan(0)
  const change = temperatureChange(warmth, warmth.coefficients, new Set(['vents']))!
  let [put, found] = [0, 0]
  for (let h = 2400; h < hours; h++) {
    put -= (0.1 * (fast[h]! - steady(h))) / (hours - 2400)
    found += change[h]! / (hours - 2400)
  }
  expect(Math.abs(found - put)).toBeLessThan(0.25)
})

test('nothing changes where no named work changed the temperature', () => {
  const warmth = warmthOf(plain, [{ key: 'drain', kind: 'yard drain', from: dayOf(base, 100) }])
  expect(temperatureChange(warmth, warmth.coefficients, new Set(['drain']))).toBeNull()
  expect(temperatureToLastState(warmth, warmth.coefficients)).toBeNull()
})

test('in constant weather the forward model rests at the fitted steady state', () => {
  const warmth = warmthOf(plain, [])
  const year = new Float64Array(2000).fill(20)
  const tempC = spaceTemperatureIn(warmth, warmth.coefficients, year, [])
  expect(tempC.at(-1)).toBeCloseTo(tempC[0]!, 9)
  expect(Math.abs(tempC[0]! - (OFFSET + (SLOW + FAST) * 20))).toBeLessThan(0.5)
})
