/** The fitted model on records made with the model itself: what was put in must come out, and what is missing be said. */
import { beforeAll, expect, test } from 'vitest'
import { findDepartures } from '../../server/moisture/departure.ts'
import { findEffects } from '../../server/moisture/effect.ts'
import { Cancelled, reportParameters } from '../../server/moisture/fit.ts'
import { type HouseModel, middleDraw, understandHouse } from '../../server/moisture/house.ts'
import type { HouseRecord } from '../../server/moisture/input.ts'
import { warmedByMachine } from '../../server/moisture/machineHeat.ts'
import { findNeed, holdAt, lastStateDrivers } from '../../server/moisture/need.ts'
import { meanOf } from '../../server/moisture/prepare.ts'
import { findSources } from '../../server/moisture/sources.ts'
import { whatIf } from '../../server/moisture/whatif.ts'
import { dayOf, measured, PLAIN_STRETCH, plainRecord } from '../support/plainRecord.ts'

/** A house that has a machine gets no heat beside what its temperature shows. */
const NO_HEAT = { setRh: 0.55, ratedKgPerH: 1 }
const DAYS = 180
const WORK_DAY = 80
const hours = DAYS * 24
const workHour = WORK_DAY * 24
const before = { ...PLAIN_STRETCH, fromHour: 0, toHour: workHour }
const after = { ...PLAIN_STRETCH, fromHour: workHour, toHour: hours }
const base = plainRecord(DAYS)
const cover = { key: 'cover', kind: 'ground cover' as const, from: dayOf(base, WORK_DAY) }

const modelOf = (record: HouseRecord): HouseModel => {
  const understood = understandHouse(record)
  if (!('model' in understood)) throw new Error(understood.cannotTell)
  return understood.model
}
const covered = measured({ ...base, works: [cover] }, [before, { ...after, ground: 1.5e-4, wetGround: 1e-4 }])
let model: HouseModel
beforeAll(() => {
  model = modelOf(covered)
})

test('a cover that works is called drier, and its interval holds the change that was put in', () => {
  const [effect] = findEffects(model)
  const without = measured(base, [before, after]).spots[0]!.vaporPressurePa
  const withIt = covered.spots[0]!.vaporPressurePa
  let put = 0
  for (let h = workHour; h < hours; h++) put += (withIt[h]! - without[h]!) / (hours - workHour)
  expect(put).toBeLessThan(-100)
  expect(effect!.verdict).toBe('drier')
  // The generator here knows nothing of evaporative cooling, which the answer allows for: hence the interval, not the middle.
  expect(effect!.soFar.vaporPressurePa.low).toBeLessThan(put)
  expect(effect!.soFar.vaporPressurePa.high).toBeGreaterThan(0.6 * put)
  expect(effect!.soFar.rhPct.mid).toBeLessThan(-3)
  expect(effect!.soFar.woodMcPct.mid).toBeLessThan(0)
  expect(effect!.bySpot.find((s) => s.key === 'corner')!.humidityRatioGKg).toBeLessThan(
    effect!.bySpot.find((s) => s.key === 'joist')!.humidityRatioGKg,
  )
})

test('the same record gives the same answer to the last digit', () => {
  const again = findEffects(modelOf(covered))
  expect(again[0]!.soFar).toEqual(findEffects(model)[0]!.soFar)
})

test('a work that changed nothing is called no clear change and its steps are probably nothing', () => {
  const [effect] = findEffects(modelOf(measured({ ...base, works: [cover] }, [before, after])))
  expect(effect!.verdict).toBe('no clear change')
  expect(effect!.soFar.humidityRatioGKg.low).toBeLessThan(0)
  expect(effect!.soFar.humidityRatioGKg.high).toBeGreaterThan(0)
})

test('the sources add up to all that enters, and the ground that was put in is the largest', () => {
  const [asIs, toHold] = findSources(model)
  expect(asIs!.basis).toBe('as it is')
  const shares = asIs!.paths.map((p) => p.sharePct.mid)
  expect(Math.abs(shares.reduce((a, b) => a + b, 0) - 100)).toBeLessThan(6) // middles of draws, not one draw
  const ground = asIs!.paths.find((p) => p.path === 'ground')!
  expect(ground.sharePct.mid).toBe(Math.max(...shares))
  // Dry air lets the evaporation come that humid air holds back.
  expect(toHold!.paths.find((p) => p.path === 'ground')!.entersLPerDay.mid).toBeGreaterThan(ground.entersLPerDay.mid)
  expect(toHold!.machineLPerDay.mid).toBeGreaterThan(0)
})

test('every parameter says how much the data fixed and on what its prior rests', () => {
  const reports = reportParameters(model.fitted)
  for (const p of reports) {
    expect(p.dataShare).toBeGreaterThanOrEqual(0)
    expect(p.dataShare).toBeLessThanOrEqual(1)
    expect(p.low).toBeLessThanOrEqual(p.value)
    expect(p.high).toBeGreaterThanOrEqual(p.value)
    expect(p.reason).not.toBe('')
  }
  const share = (key: string) => reports.find((p) => p.key === key)!.dataShare
  expect(share('ground')).toBeGreaterThan(0.5)
  expect(share('woodCore')).toBeLessThan(0.5)
  expect(reports.some((p) => p.basis === 'reference') && reports.some((p) => p.basis === 'judgement')).toBe(true)
})

test('a need has an interval and says where its scale comes from', () => {
  const need = findNeed(model)
  if (!('lPerDay' in need)) throw new Error(need.cannotTell)
  expect(need.lPerDay.low).toBeLessThan(need.lPerDay.mid)
  expect(need.scale).toContain('nothing metered')
  expect(need.meanLPerDay.mid).toBeLessThan(need.lPerDay.mid)
})

test('the heat of a machine that holds the space lowers the need, by what its kelvins of warmth explain', () => {
  const draw = middleDraw(model)
  const drivers = lastStateDrivers(model, draw)
  const last = draw.house.propertiesAt(draw.theta, model.prepared.hours - 1)
  const outdoor = { tempC: model.prepared.outdoorTempC, startAt: model.record.startAt }
  const warm = warmedByMachine(model, draw, drivers, outdoor, last, 0.55)
  const kelvin = warm.climate.tempC.map((t, h) => t - drivers.climate.tempC[h]!)
  const liters = (at: typeof drivers) =>
    meanOf(holdAt(model, draw, at, { ...last, machine: NO_HEAT }, 0.55).machine) * 24
  const [withHeat, without] = [liters(warm), liters(drivers)]
  expect(withHeat).toBeLessThan(without)
  // Power and latent heat of what is taken out can warm no more than this; loss of the plain house: see machineHeat.ts.
  const { floorAreaM2, perimeterM, heightM } = model.size
  const leastLossWK = (0.6 + 0.35) * floorAreaM2 + 1.5 * perimeterM * heightM
  expect(meanOf(kelvin)).toBeGreaterThan(0)
  expect(meanOf(kelvin)).toBeLessThan(((without / 24) * (684 + 590)) / leastLossWK)
  // The ground's surface lies behind the air that the machine warms, and by no more than a kelvin or two.
  const groundKelvin = warm.climate.dayTempC.map((t, h) => t - drivers.climate.dayTempC[h]!)
  expect(meanOf(groundKelvin)).toBeLessThan(0.9 * meanOf(kelvin))
  expect(meanOf(groundKelvin)).toBeGreaterThan(0.4 * meanOf(kelvin))
})

test('sealing lowers what a dehumidifier must take out; a second cover changes little; nothing changes nothing', () => {
  const sealed = whatIf(model, [{ kind: 'vents sealed' }])
  const needs = sealed.need
  if (!('lPerDay' in needs.asIs && 'lPerDay' in needs.after)) throw new Error('a need was expected')
  expect(needs.after.lPerDay.mid).toBeLessThan(0.6 * needs.asIs.lPerDay.mid)
  const none = whatIf(model, [])
  expect(none.humidityRatioGKg.change.mid).toBe(0)
  const year = {
    startAt: covered.startAt,
    tempC: covered.outdoor!.tempC,
    vaporPressurePa: covered.outdoor!.vaporPressurePa,
    rainMm: new Float64Array(hours),
  }
  const elsewhere = whatIf(model, [{ kind: 'dehumidifier', details: { ratedLPerDay: 40, setRhPct: 50 } }], year)
  expect(elsewhere.weather).toBe('a typical year')
  expect(elsewhere.rhPct.change.mid).toBeLessThan(0)
})

test('progress runs up to the end and a stop is obeyed', () => {
  const shares: number[] = []
  understandHouse(covered, { onProgress: (share) => shares.push(share) })
  expect(shares.every((s) => s >= 0 && s <= 1)).toBe(true)
  expect(Math.max(...shares)).toBeGreaterThan(0.6)
  let asked = 0
  expect(() => understandHouse(covered, { shouldStop: () => ++asked > 3 })).toThrow(Cancelled)
})

test('a leak that began one day is found on that day and comes first among the departures', () => {
  const day = 110
  const wet = measured(base, [
    { ...before, toHour: day * 24 },
    { ...after, fromHour: day * 24, leakKgPerH: 0.6 },
  ])
  const leaking = modelOf(wet)
  const [first] = findDepartures(leaking, [])
  expect(first!.kind).toBe('leak began')
  expect(Math.abs(first!.at - dayOf(base, day)) / 86_400_000).toBeLessThanOrEqual(3)
  expect(leaking.leak!.kgPerH * 24).toBeGreaterThan(7)
  expect(leaking.leak!.kgPerH * 24).toBeLessThan(28)
})

test('a quiet house has no departures', () => {
  expect(findDepartures(modelOf(measured(base, [{ ...before, toHour: hours }])), [])).toEqual([])
})

test('a machine that stopped is told from one that is too small', () => {
  const machine = { setRh: 0.5, ratedKgPerH: 40 / 24 }
  const tight = { changesPerH: 0.3, ground: 2e-4, wetGround: 1e-5 }
  const record: HouseRecord = {
    ...base,
    geometry: { ...base.geometry, ventState: 'closed', coverShare: 0.9, downspouts: 'led away' },
    machineAtStart: { setRhPct: 50, ratedLPerDay: 40, ratingBasis: '80 °F' },
  }
  const stop = 100 * 24
  const stopped = modelOf(
    measured(record, [
      { ...before, ...tight, machine, toHour: stop },
      { ...after, ...tight, fromHour: stop },
    ]),
  )
  expect(findDepartures(stopped, [])[0]).toMatchObject({ kind: 'dehumidifier stopped' })
  expect(Math.abs(stopped.stop!.span.fromHour - stop)).toBeLessThanOrEqual(48)
  const weak = modelOf(
    measured({ ...record, machineAtStart: { setRhPct: 50, ratedLPerDay: 6, ratingBasis: '80 °F' } }, [
      { ...before, ...tight, machine: { setRh: 0.5, ratedKgPerH: 6 / 24 }, ground: 6e-4, toHour: hours },
    ]),
  )
  expect(weak.stop).toMatchObject({ failed: false })
})
