import { expect, test } from 'vitest'
import { thresholds } from '../../server/advice/thresholds.ts'
import { type LevelContext, levelNow, levelsThroughTime } from '../../server/moisture/level.ts'
import { closedDampByHour, liquidByHour } from '../../server/moisture/levelStates.ts'
import type { ObservedSpot } from '../../server/moisture/observed.ts'
import { column, HOUR, observedOf, outdoorOf, START, spotOf, spotWithVapor } from './made.ts'

const limits = thresholds()
const DAYS = 40
const hours = DAYS * 24
const vented: LevelContext = { kind: 'vented', worksAt: [], pins: {}, coldSurfaces: {} }
const outdoor = outdoorOf(hours, 15, 900)
const levels = (spots: ObservedSpot[], context: Partial<LevelContext> = {}) =>
  levelsThroughTime(observedOf(hours, spots, { outdoor }), { ...vented, ...context }, limits)
const last = (spot: ObservedSpot, context: Partial<LevelContext> = {}) => levels([spot], context).spots[0]!.days.at(-1)!
/** 18 °C at 900 Pa is 44 %: dry by every line, and no excess. */
const dryAir = (key = 'dry') => spotWithVapor(hours, 900, 18, key)

test('dry is said with the lines that could not be judged', () => {
  const day = last(dryAir())
  expect(day).toMatchObject({ level: 'dry', setBy: null, also: [] })
  expect(day.notJudged).toEqual([
    'Liquid water: no sensor for it at this spot.',
    'Condensation: no cold surface is named and known at this spot.',
  ])
  const early = levels([dryAir()]).spots[0]!.days[3]!
  expect(early.notJudged.some((line) => line.includes('4 of the last 30 days are complete; 20 are needed'))).toBe(true)
})

test('each line of the table sets its level, with number and harm', () => {
  const liquid = last({ ...dryAir(), waterPresentShare: column(hours, (h) => (h >= hours - 5 ? 1 : 0)) })
  expect(liquid).toMatchObject({ level: 'wet', setBy: { line: 'liquid', harm: 'standing water' } })

  const pins = (value: number) => last({ ...dryAir(), woodMcPct: column(hours, value) })
  expect(pins(20)).toMatchObject({ level: 'wet', setBy: { line: 'wood wet', value: 20, limit: 20, harm: 'decay' } })
  expect(pins(16)).toMatchObject({ level: 'damp', setBy: { line: 'wood damp', value: 16 } })
  expect(pins(13.9).level).toBe('dry')

  const condensing = last(dryAir(), { coldSurfaces: { dry: { name: 'supply duct', tempC: 5 } } }) // dew point 5.4 °C
  expect(condensing).toMatchObject({ level: 'damp', setBy: { line: 'condensation', value: 24, harm: 'dripping' } })

  const humid = spotOf(hours, 20, 82) // holds wood at 16.7 %, excess far over 150 Pa
  const lines = (day: ReturnType<typeof last>) => [day.setBy!, ...day.also].map((line) => line.line)
  expect(lines(last(humid))).toEqual(expect.arrayContaining(['wood damp', '30-day surface', 'vented excess']))
  const closed = last(spotOf(hours, 20, 70), { kind: 'closed' })
  expect(closed).toMatchObject({ level: 'damp', setBy: { line: 'closed air', limit: 65, harm: 'mold' } })
  expect(closed.setBy!.value).toBeCloseTo(70, 9)
  expect(lines(last(spotOf(hours, 20, 77), { kind: 'conditioned' }))).toContain('30-day surface')
})

test('mold index 3 in the air is wet; only at a colder surface it is possible', () => {
  // Rough pine at 22 °C and 97 % reaches index 1 in about ten days and 3 before forty (Hukka and Viitanen 1999).
  const rough = thresholds({ moldClass: 'very sensitive' })
  const day = (rhPct: number) => {
    const observed = observedOf(hours, [spotOf(hours, 22, rhPct)], { outdoor })
    return levelsThroughTime(observed, vented, rough).spots[0]!.days.at(-1)!
  }
  const crossed = (rhPct: number) => [day(rhPct).setBy!, ...day(rhPct).also].some((line) => line.line === 'mold index')
  expect(crossed(97)).toBe(true)
  expect(crossed(87)).toBe(false)
  expect(day(87).possible.some((line) => line.line === 'mold index')).toBe(true)
})

test('vented excess needs seven days in a row, and one low day breaks it', () => {
  const with7 = spotWithVapor(hours, (h) => (h >= hours - 7 * 24 ? 1100 : 900), 18)
  const days = levels([with7]).spots[0]!.days
  expect(days.at(-1)!).toMatchObject({ level: 'damp', setBy: { line: 'vented excess' } })
  expect(days.at(-1)!.setBy!.value).toBeCloseTo(200, 6)
  expect(days.at(-2)!.level).toBe('dry')
  const withGap = spotWithVapor(
    hours,
    (h) =>
      h >= hours - 7 * 24 && !(h >= hours - 48 && h < hours - 30)
        ? 1100
        : h >= hours - 48 && h < hours - 30
          ? Number.NaN
          : 900,
    18,
  )
  expect(last(withGap).notJudged).toContain('Vapor excess: 6 of 7 days are complete inside and outdoors.')
})

test('drying: damp by number, no liquid, within eight weeks after a work, and falling', () => {
  const falling = () => ({ ...dryAir('joist'), woodMcPct: column(hours, (h) => 22 - (4 * h) / hours) })
  const context = { worksAt: [START + 5 * 24 * HOUR] }
  expect(last(falling(), context)).toMatchObject({ level: 'drying', setBy: { line: 'wood damp' } })
  expect(levels([falling()], context).spots[0]!.days[3]!.level).toBe('wet') // before the work
  expect(last(falling()).level).toBe('damp') // no work at all
  expect(last(falling(), { worksAt: [START - 30 * 24 * HOUR] }).level).toBe('damp') // more than eight weeks ago
  const steady = { ...dryAir('joist'), woodMcPct: column(hours, 18) }
  expect(last(steady, context).level).toBe('damp')
  const leaking = { ...falling(), waterPresentShare: column(hours, 1) }
  expect(last(leaking, context)).toMatchObject({ level: 'wet', setBy: { line: 'liquid' } })
})

test('the worst spot sets the house; a silent spot keeps it from being dry', () => {
  const damp = { ...dryAir('damp'), woodMcPct: column(hours, 17) }
  const silent = spotOf(
    hours,
    (h) => (h < 24 * 20 ? 18 : Number.NaN),
    (h) => (h < 24 * 20 ? 40 : Number.NaN),
    'gone',
  )
  expect(levels([dryAir(), damp, silent]).house.at(-1)).toMatchObject({ level: 'damp', spot: 'damp' })
  expect(levels([dryAir(), silent]).house.at(-1)).toMatchObject({ level: 'silent', spot: 'gone' })
  expect(levels([dryAir(), silent]).house[5]!.level).toBe('dry')
})

test('now: silent 24 h after the last word, with what was last known', () => {
  const found = levels([{ ...dryAir(), woodMcPct: column(hours, 17) }])
  const end = START + hours * HOUR
  expect(levelNow(found, end + 23 * HOUR, limits).level).toBe('damp')
  expect(levelNow(found, end + 24 * HOUR, limits)).toMatchObject({
    level: 'silent',
    lastKnown: 'damp',
    lastHeardAt: end,
  })
})

test('closed space: on above 65 %, off only after 24 h of means below 60 %', () => {
  const rh = column(24 * 12, (h) => (h < 72 ? 70 : h < 144 ? 62 : 55))
  const { damp } = closedDampByHour(rh, limits)
  expect(damp[22]).toBeNaN() // no 24 h mean yet
  expect(damp[23]).toBe(1)
  expect(damp[143]).toBe(1) // 62 % is neither
  const off = damp.findIndex((value, h) => h > 24 && value === 0)
  // The mean falls below 60 % seven hours after 144 and must stay there for 24 h.
  expect(off).toBe(144 + 6 + 24 - 1)
})

test('liquid: one reading of four is a splash, two hours in a row are water, twelve dry hours end it', () => {
  const share = column(40, (h) => ({ 3: 0.25, 10: 0.25, 11: 0.25 })[h] ?? 0)
  const state = [...liquidByHour({ ...spotOf(40, 18, 40), waterPresentShare: share }, limits)!]
  expect(state.indexOf(1)).toBe(11)
  expect(state.lastIndexOf(1)).toBe(22)
  expect(liquidByHour(spotOf(5, 18, 40), limits)).toBeNull()
})
