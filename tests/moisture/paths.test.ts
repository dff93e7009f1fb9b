/** Every way a record can be poorer than hoped: the answer stays ordinary and names what was assumed or is missing. */
import { expect, test } from 'vitest'
import { findEffects } from '../../server/moisture/effect.ts'
import { type HouseModel, understandHouse } from '../../server/moisture/house.ts'
import { HOUR_MS, type HouseRecord } from '../../server/moisture/input.ts'
import { findNeed } from '../../server/moisture/need.ts'
import { prepareRecord } from '../../server/moisture/prepare.ts'
import { findSources } from '../../server/moisture/sources.ts'
import { dayOf, measured, PLAIN_STRETCH, plainRecord } from '../support/plainRecord.ts'

const DAYS = 120
const hours = DAYS * 24
const workHour = 60 * 24
const base = plainRecord(DAYS)
const stretches = (end = hours) => [
  { ...PLAIN_STRETCH, changesPerH: 1, ground: 2e-3, fromHour: 0, toHour: workHour },
  { ...PLAIN_STRETCH, changesPerH: 1, ground: 2e-4, fromHour: workHour, toHour: end },
]
const cover = { key: 'cover', kind: 'ground cover' as const, from: dayOf(base, 60) }
const full = measured({ ...base, works: [cover] }, stretches())
const modelOf = (record: HouseRecord): HouseModel => {
  const understood = understandHouse(record)
  if (!('model' in understood)) throw new Error(understood.cannotTell)
  return understood.model
}
const prepared = (record: HouseRecord) => {
  const result = prepareRecord(record)
  if ('cannotTell' in result) throw new Error(result.cannotTell)
  return result
}

test('daily rain is spread over its day and says so', () => {
  const days = Array.from({ length: DAYS }, (_, d) => ({
    from: dayOf(base, d),
    to: dayOf(base, d + 1),
    rainMm: d % 6 ? 0 : 12,
  }))
  const { rainMm, assumptions } = prepared({ ...full, rain: { step: 'daily', days } })
  expect(rainMm[3]).toBeCloseTo(0.5, 9)
  expect(rainMm[30]).toBe(0)
  expect(assumptions.some((a) => a.startsWith('Daily rain spread'))).toBe(true)
  expect(findEffects(modelOf({ ...full, rain: { step: 'daily', days } }))[0]!.verdict).toBe('drier')
})

test('rain not known gives no rain answer, and no drain verdict', () => {
  const model = modelOf({ ...full, rain: null })
  expect(model.assumptions.some((a) => a.startsWith('Rain not known'))).toBe(true)
  expect(findSources(model)[0]!.paths.find((p) => p.path === 'rain')!.entersLPerDay.high).toBe(0)
  expect(findEffects(model)[0]!.verdict).toBe('drier')
  const drain = { ...cover, kind: 'yard drain' as const }
  const [effect] = findEffects(modelOf({ ...full, rain: null, works: [drain] }))
  expect(effect!.verdict).toBe('cannot tell')
  expect(effect!.reason).toContain('rain of 12 mm')
})

test('a gap in the rain is not a dry spell', () => {
  const rainMm = Float64Array.from((full.rain as { rainMm: Float64Array }).rainMm).fill(Number.NaN, 0, 600)
  const { rainMm: filled, assumptions } = prepared({ ...full, rain: { step: 'hourly', rainMm } })
  expect(filled[10]).toBeGreaterThan(0)
  expect(assumptions.some((a) => a.includes('Rain is missing for 25 days'))).toBe(true)
})

test('without an outdoor logger the weather station takes its place; without both nothing can be told', () => {
  const model = modelOf({ ...full, outdoor: null, station: full.outdoor })
  expect(model.assumptions).toContain('Outdoor air from the weather station, no logger outdoors.')
  expect(findEffects(model)[0]!.verdict).toBe('drier')
  expect(understandHouse({ ...full, outdoor: null })).toMatchObject({
    needs: expect.stringContaining('weather station'),
  })
})

test('a house nobody measured still gets an effect, with liters marked as uncertain', () => {
  const nothing = {
    floorAreaM2: null,
    heightM: null,
    perimeterM: null,
    volumeM3: null,
    coverShare: null,
    ventCount: null,
    ventState: null,
    downspouts: null,
    floorInsulated: null,
  }
  const model = modelOf({ ...full, geometry: nothing, latitude: null, elevationM: null })
  expect(findEffects(model)[0]!.verdict).toBe('drier')
  expect(model.assumptions.join(' ')).toMatch(/Floor area not recorded.*Height not recorded/)
  const [known, unknown] = [findSources(modelOf(full))[0]!, findSources(model)[0]!].map(
    (s) => s.paths.find((p) => p.path === 'ground')!.entersLPerDay,
  )
  expect(unknown!.high / unknown!.low).toBeGreaterThan(known!.high / known!.low)
})

test('a short record is refused with the days it lacks, and a short side cannot carry a verdict', () => {
  const days = 8
  const blank = full.spots.map((s) => ({
    ...s,
    vaporPressurePa: s.vaporPressurePa.map((e, h) => (h < days * 24 ? e : Number.NaN)),
  }))
  expect(understandHouse({ ...full, spots: blank })).toMatchObject({ needs: '2 more days of readings' })
  const late = { ...cover, from: dayOf(base, DAYS - 12) }
  const [effect] = findEffects(modelOf({ ...full, works: [late] }))
  expect(effect).toMatchObject({ verdict: 'cannot tell', grade: 'D', settled: null })
  expect(effect!.needs).toEqual(['8 more days after the work'])
})

test('a record without a humid season gives no need', () => {
  const winter = Date.UTC(2024, 10, 1)
  const need = findNeed(modelOf({ ...full, startAt: winter, works: [{ ...cover, from: winter + workHour * HOUR_MS }] }))
  expect(need).toMatchObject({ needs: expect.stringContaining('June to September') })
  const south = findNeed(modelOf({ ...full, startAt: winter, latitude: -36, works: [] }))
  expect('lPerDay' in south).toBe(true)
})

test('metered water of a dehumidifier fixes the scale that humidity leaves open', () => {
  const machine = { setRh: 0.5, ratedKgPerH: 40 / 24 }
  const closed = { changesPerH: 0.3, wetGround: 1e-5, machine }
  const record: HouseRecord = {
    ...base,
    geometry: { ...base.geometry, ventState: 'closed', coverShare: 0.5, downspouts: 'led away' },
    machineAtStart: { setRhPct: 50, ratedLPerDay: 40, ratingBasis: '80 °F' },
  }
  const held = measured(record, [{ ...PLAIN_STRETCH, ...closed, ground: 5e-4, fromHour: 0, toHour: hours }])
  const unmetered = findNeed(modelOf(held))
  // About 12 liters a day at the middle of the record: what the house was made with.
  const metered = findNeed(modelOf({ ...held, condensateL: new Float64Array(hours).fill(0.5) }))
  if (!('lPerDay' in unmetered && 'lPerDay' in metered)) throw new Error('both needs were expected')
  const width = (e: { low: number; high: number }) => Math.log(e.high / e.low)
  expect(width(metered.meanLPerDay)).toBeLessThan(0.8 * width(unmetered.meanLPerDay))
  expect(metered.scale).toBe('scale from the metered water')
  expect(findSources(modelOf(held))[0]!.caution).toContain('Meter its water')
})
