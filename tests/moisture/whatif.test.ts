/** What remedies would change: known answers on a house made with the balance itself, and the machine's closed forms. */
import { beforeAll, expect, test } from 'vitest'
import { newFlows } from '../../server/moisture/balance.ts'
import { type HouseModel, understandHouse } from '../../server/moisture/house.ts'
import { DAY_HOURS, type Estimate, type HouseRecord } from '../../server/moisture/input.ts'
import { climateOf } from '../../server/moisture/prepare.ts'
import { type Compared, type Remedy, type TypicalYear, whatIf, whatIfMiddle } from '../../server/moisture/whatif.ts'
import { efficiencyOf, useOf } from '../../server/moisture/whatifMachine.ts'
import { stateAfter } from '../../server/moisture/whatifState.ts'
import { saturationVaporPressurePa } from '../../server/physics/air.ts'
import { capacityLPerDay } from '../../server/physics/dehumidifier.ts'
import { dayOf, measured, PLAIN_STRETCH, plainRecord, plainWeather } from '../support/plainRecord.ts'

const DAYS = 180
const WORK_DAY = 80
const hours = DAYS * DAY_HOURS
const base = plainRecord(DAYS)
const before = { ...PLAIN_STRETCH, fromHour: 0, toHour: WORK_DAY * DAY_HOURS }
const after = { ...PLAIN_STRETCH, fromHour: WORK_DAY * DAY_HOURS, toHour: hours }
const SEAL_AND_DRY: Remedy[] = [{ kind: 'encapsulation' }, { kind: 'dehumidifier', details: { ratedLPerDay: 33 } }]
const COLD = { name: 'supply duct', insideTempC: 12, insulationM2KPerW: 0.2 }

function modelOf(record: HouseRecord): HouseModel {
  const understood = understandHouse(record)
  if (!('model' in understood)) throw new Error(understood.cannotTell)
  return understood.model
}

let plain: HouseModel
let sealed: HouseModel
let dried: HouseModel
beforeAll(() => {
  plain = modelOf(measured(base, [{ ...before, toHour: hours }]))
  const work = { key: 'vents', kind: 'vents sealed' as const, from: dayOf(base, WORK_DAY) }
  // Tighter than is usual, so that the prior of sealing would let air in again.
  sealed = modelOf(measured({ ...base, works: [work] }, [before, { ...after, changesPerH: 0.12 }]))
  const machine = { setRh: 0.5, ratedKgPerH: 40 / 24 }
  const geometry = { ...base.geometry, ventState: 'closed' as const, coverShare: 0.9, downspouts: 'led away' as const }
  const tight = { changesPerH: 0.3, ground: 2e-4, wetGround: 1e-5, machine }
  dried = modelOf(
    measured({ ...base, geometry, machineAtStart: { setRhPct: 50, ratedLPerDay: 40, ratingBasis: '80 °F' } }, [
      { ...before, ...tight, toHour: hours },
    ]),
  )
})

const inOrder = ({ low, mid, high }: Estimate) => low <= mid && mid <= high

test('a closed, covered space with a machine dries air and wood, grows less mold, condenses less, and only the machine uses electricity', () => {
  const told = whatIf(plain, SEAL_AND_DRY, null, { coldSurface: COLD })
  for (const of of [told.humidityRatioGKg, told.vaporPressurePa, told.rhPct, told.woodMcPct]) {
    expect(of.change.high).toBeLessThan(0)
    expect(of.after.mid).toBeLessThan(of.asIs.mid)
    expect([of.asIs, of.after, of.change].every(inOrder)).toBe(true)
  }
  expect(told.moldIndex.max.asIs.mid).toBeGreaterThan(0.1)
  expect(told.moldIndex.max.after.mid).toBeLessThan(told.moldIndex.max.asIs.mid)
  expect(told.moldIndex.end.after.mid).toBeLessThanOrEqual(told.moldIndex.max.after.mid)
  if ('cannotTell' in told.condensation) throw new Error(told.condensation.cannotTell)
  expect(told.condensation.surface).toBe('supply duct')
  expect(told.condensation.hours.asIs.mid).toBeGreaterThan(100)
  expect(told.condensation.hours.change.high).toBeLessThan(0)
  expect(told.machine.asIs).toBeNull()
  const { runningHours, liters, kwh } = told.machine.after!
  expect([runningHours, liters, kwh].every((of) => of.low > 0 && of.low < of.mid && of.mid < of.high)).toBe(true)
  expect(runningHours.high).toBeLessThanOrEqual(hours)
  // 33 L/day at 80 °F are some 40 pints at 65 °F: the class of 1.6 L/kWh, less or more in other air.
  expect(liters.mid / kwh.mid).toBeGreaterThan(1)
  expect(liters.mid / kwh.mid).toBeLessThan(2.6)
  expect(told.assumptions.join(' ')).toMatch(/1\.6 L\/kWh/)
  expect(told.period).toEqual({ days: DAYS, basis: 'the record' })
  expect(told.assumptions.join(' ')).toContain('of the 180 days of this weather, not of a year')
})

test('the middle lies inside every interval of the whole answer', () => {
  const told = whatIf(plain, SEAL_AND_DRY, null, { coldSurface: COLD })
  const middle = whatIfMiddle(plain, SEAL_AND_DRY, null, { coldSurface: COLD })
  const inside = (value: number, { low, high }: Estimate) => {
    expect(value).toBeGreaterThanOrEqual(low)
    expect(value).toBeLessThanOrEqual(high)
  }
  const compare = (one: Compared<number>, all: Compared<Estimate>) => {
    for (const side of ['asIs', 'after', 'change'] as const) inside(one[side], all[side])
    expect(one.change).toBeCloseTo(one.after - one.asIs, 9)
  }
  for (const key of [
    'humidityRatioGKg',
    'vaporPressurePa',
    'rhPct',
    'tempC',
    'hoursOver80Share',
    'woodMcPct',
  ] as const) {
    compare(middle[key], told[key])
  }
  compare(middle.moldIndex.max, told.moldIndex.max)
  for (const key of ['runningHours', 'liters', 'kwh'] as const)
    inside(middle.machine.after![key], told.machine.after![key])
  expect(middle.assumptions).toEqual(told.assumptions)
})

test('no remedy changes nothing, runs no machine, and a surface nobody named is a typed absence', () => {
  const none = whatIf(plain, [])
  for (const key of ['vaporPressurePa', 'tempC', 'rhPct', 'woodMcPct'] as const) {
    expect(none[key].change).toEqual({ low: 0, mid: 0, high: 0 })
  }
  expect(none.machine).toEqual({ asIs: null, after: null })
  expect(none.condensation).toMatchObject({ cannotTell: expect.stringContaining('No cold surface was named') })
  expect(() => whatIfMiddle(plain, [], null, { coldSurface: { name: 'pipe' } })).toThrow(/How cold "pipe" gets/)
})

test('a surface colder than every dew point is always wet, one warmer than all never', () => {
  const hoursAt = (tempC: number) => {
    const { condensation } = whatIfMiddle(plain, [], null, { coldSurface: { name: 'pipe', tempC } })
    if ('cannotTell' in condensation) throw new Error(condensation.cannotTell)
    return condensation.hours.asIs
  }
  expect(hoursAt(-30)).toBe(hours)
  expect(hoursAt(40)).toBe(0)
})

test('sealing a sealed house again keeps what sealing did there; sealing never lets air in', () => {
  const again = whatIf(sealed, [{ kind: 'vents sealed' }])
  expect(again.kept).toEqual(['vents sealed'])
  expect(again.humidityRatioGKg.change).toEqual({ low: 0, mid: 0, high: 0 })
  expect(again.need.after).toEqual(again.need.asIs)
  expect(again.assumptions.join(' ')).toContain('vents sealed is done already')
  const encapsulated = whatIfMiddle(sealed, [{ kind: 'encapsulation' }])
  expect(encapsulated.kept).toEqual(['vents sealed'])
  expect(encapsulated.vaporPressurePa.change).toBeLessThan(0)
  const state = { ...PLAIN_STRETCH, changesPerH: 0.1 }
  expect(stateAfter(plain, state, [{ kind: 'vents sealed' }], [2]).changesPerH).toBe(0.1)
  expect(stateAfter(sealed, state, [{ kind: 'vents opened' }], [0]).changesPerH).toBeGreaterThan(1)
})

test('more cover than lies there is work of its own, as much again is none', () => {
  const halfCovered = { ...plain, record: { ...plain.record, geometry: { ...plain.record.geometry, coverShare: 0.5 } } }
  const groundAfter = (coverShareAfter: number) =>
    stateAfter(halfCovered, PLAIN_STRETCH, [{ kind: 'ground cover', details: { coverShareAfter } }], [0]).ground
  expect(groundAfter(0.5)).toBe(PLAIN_STRETCH.ground)
  expect(groundAfter(1)).toBeCloseTo((PLAIN_STRETCH.ground * 0.08) / 0.54, 9)
})

test('a machine that runs is counted now and kept; a new set point alone keeps its size', () => {
  const told = whatIf(dried, [{ kind: 'dehumidifier', details: { setRhPct: 60 } }])
  expect(told.kept).toEqual(['dehumidifier'])
  const [now, then] = [told.machine.asIs!, told.machine.after!]
  expect(now.liters.mid).toBeGreaterThan(then.liters.mid)
  expect(now.kwh.mid).toBeGreaterThan(then.kwh.mid)
  expect(told.rhPct.change.low).toBeGreaterThan(0)
  const state = dried.fitted.house.propertiesAt(dried.fitted.theta, hours - 1)
  const { machine } = stateAfter(dried, state, [{ kind: 'dehumidifier', details: { setRhPct: 60 } }], [0])
  expect(machine).toEqual({ setRh: 0.6, ratedKgPerH: state.machine!.ratedKgPerH })
})

test('a year of weather is counted as a year of 365 days; columns of unequal length are refused', () => {
  const length = 366 * DAY_HOURS
  const tempC = Float64Array.from({ length }, (_, h) => 15 - 10 * Math.cos((2 * Math.PI * h) / length))
  const year: TypicalYear = {
    startAt: Date.UTC(2024, 0, 1),
    tempC,
    vaporPressurePa: tempC.map((t) => 500 + 55 * Math.max(0, t)),
    rainMm: new Float64Array(length).fill(0.1),
  }
  const wet = { coldSurface: { name: 'pipe', tempC: -30 } }
  const told = whatIfMiddle(plain, SEAL_AND_DRY, year, wet)
  expect(told).toMatchObject({ weather: 'a typical year', period: { days: 365, basis: 'a year' } })
  if ('cannotTell' in told.condensation) throw new Error(told.condensation.cannotTell)
  expect(told.condensation.hours.asIs).toBeCloseTo(8760, 6)
  expect(told.machine.after!.runningHours).toBeLessThan(8760)
  expect(() => whatIfMiddle(plain, [], { ...year, rainMm: new Float64Array(3) })).toThrow(RangeError)
})

test('running hours and kWh in the air of the label follow from rating and efficiency alone', () => {
  const [tempC, rh] = [(65 - 32) / 1.8, 0.6]
  const n = 48
  const air = new Float64Array(n).fill(tempC)
  const run = {
    ...newFlows(n),
    vaporPressurePa: new Float64Array(n).fill(rh * saturationVaporPressurePa(tempC)),
    climate: climateOf(air, air, 0, 36),
  }
  const machine = { setRh: 0.5, ratedKgPerH: 2 }
  const capacityKgPerH = capacityLPerDay({ ratedLPerDay: 48, basis: '80 °F' }, tempC, 60) / 24
  run.machine.fill(capacityKgPerH / 4)
  const efficient = efficiencyOf(plain, machine, 2, false)
  expect(efficient.assumed).toBeNull()
  const { runningHours, liters, kwh } = useOf(run, machine, efficient)
  expect(runningHours).toBeCloseTo(12, 3)
  expect(liters).toBeCloseTo(12 * capacityKgPerH, 6)
  expect(kwh).toBeCloseTo(liters / 2, 3)
})

test('metered water and power give the efficiency of the machine that was metered, and of no other', () => {
  const column = (value: number) => new Float64Array(hours).fill(value)
  const metered = { ...plain, record: { ...plain.record, condensateL: column(0.36), powerW: column(200) } }
  const machine = { setRh: 0.5, ratedKgPerH: 1.4 }
  expect(efficiencyOf(metered, machine, null, true)).toMatchObject({ ofLabel: false, assumed: null })
  expect(efficiencyOf(metered, machine, null, true).litersPerKwh).toBeCloseTo(1.8, 9)
  expect(efficiencyOf(metered, machine, null, false).assumed).toContain('not recorded')
})

test('a record without the humid season tells no need and no saving, in a typical year it tells both; a cover saves', () => {
  const spring = plainRecord(60)
  const model = modelOf(measured(spring, [{ ...before, toHour: 60 * DAY_HOURS }]))
  const { need } = whatIf(model, [{ kind: 'ground cover' }])
  expect(need).toMatchObject({
    asIs: { cannotTell: /humid season/ },
    after: { cannotTell: /humid season/ },
    savesLPerDay: null,
  })
  const { outdoorTempC: tempC, outdoorPa: vaporPressurePa, rainMm } = plainWeather(365 * DAY_HOURS)
  const inYear = whatIf(model, [{ kind: 'ground cover' }], {
    startAt: spring.startAt,
    tempC,
    vaporPressurePa,
    rainMm,
  }).need
  if ('cannotTell' in inYear.asIs || 'cannotTell' in inYear.after) throw new Error('a need was expected')
  const difference = inYear.asIs.lPerDay.mid - inYear.after.lPerDay.mid
  expect(inYear.savesLPerDay!.low).toBeLessThan(difference)
  expect(inYear.savesLPerDay!.high).toBeGreaterThan(difference)
  expect(inYear.savesLPerDay!.low).toBeGreaterThan(0)
  expect(inOrder(inYear.savesLPerDay!)).toBe(true)
})
