import { expect, test } from 'vitest'
import { findHeldDays } from '../../server/moisture/held.ts'
import type { HouseRecord } from '../../server/moisture/input.ts'
import { prepareRecord } from '../../server/moisture/prepare.ts'
import { planWorks } from '../../server/moisture/works.ts'
import { saturationVaporPressurePa } from '../../server/physics/air.ts'
import { plainRecord } from '../support/plainRecord.ts'

const DAYS = 60
const hours = DAYS * 24
const SET = 0.5
const es = saturationVaporPressurePa(18)

/** Held at the set point throughout; outdoors dry from day 40 on, steps of RH as given by day. */
function held(step: (day: number) => number, outdoorPa: (day: number) => number, more: Partial<HouseRecord> = {}) {
  const day = (h: number) => Math.floor(h / 24)
  const column = (f: (h: number) => number) => Float64Array.from({ length: hours }, (_, h) => f(h))
  const record: HouseRecord = {
    ...plainRecord(DAYS),
    spots: [
      {
        key: 'joist',
        tempC: column(() => 18),
        vaporPressurePa: column(() => SET * es),
        rhStepPct: column((h) => step(day(h))),
      },
    ],
    outdoor: { tempC: column(() => 18), vaporPressurePa: column((h) => outdoorPa(day(h))) },
    machineAtStart: { setRhPct: 100 * SET, ratedLPerDay: 30, ratingBasis: null },
    ...more,
  }
  const prepared = prepareRecord(record)
  if ('cannotTell' in prepared) throw new Error(prepared.cannotTell)
  return findHeldDays(prepared, planWorks(record, 130))
}
const idleDays = (idle: Uint8Array | null) => (idle === null ? 0 : idle.reduce((a, b) => a + b, 0) / 24)
const dryFrom40 = (day: number) => (day < 40 ? 1600 : 600)

test('days without a saw-tooth in drying weather are idle and count as free days', () => {
  const { held: days, idleHours, hardDays } = held((day) => (day < 40 ? 2 : 0.3), dryFrom40)
  expect(idleDays(idleHours)).toBe(20)
  expect(days.slice(0, 40).every((v) => v === 1)).toBe(true)
  expect(days.slice(40).every((v) => v === 0)).toBe(true)
  expect(hardDays.length).toBe(9) // 15 % of 60
})

test('a machine that runs flat out makes no saw-tooth either, and is not taken for idle', () => {
  expect(
    held(
      (day) => (day < 40 ? 2 : 0.3),
      () => 1600,
    ).idleHours,
  ).toBeNull()
})

test('a single quiet day is not enough', () => {
  expect(held((day) => (day === 50 ? 0.3 : 2), dryFrom40).idleHours).toBeNull()
})

test('a power meter says it outright', () => {
  const powerW = Float64Array.from({ length: hours }, (_, h) => (h < 30 * 24 ? 480 : 35))
  const { held: days, idleHours } = held(
    () => 2,
    () => 1600,
    { powerW },
  )
  expect(idleDays(idleHours)).toBe(30)
  expect(days.slice(30).every((v) => v === 0)).toBe(true)
})

test('without a machine no day is held', () => {
  const { held: days, hardDays } = held(() => 2, dryFrom40, { machineAtStart: null })
  expect(days.includes(1)).toBe(false)
  expect(hardDays).toEqual([])
})
