import { expect, test } from 'vitest'
import { thresholds } from '../../server/advice/thresholds.ts'
import { couplingToOutdoorAir, excessByWeather } from '../../server/moisture/coupling.ts'
import { meanOfDays, slopeOfDays, student90 } from '../../server/moisture/dayStatistics.ts'
import { localDays, meanOver } from '../../server/moisture/observed.ts'
import { normal, seeded } from '../support/series.ts'
import { HOUR, observedOf, outdoorOf, realHouse, spotWithVapor, vaporAtDewPoint } from './made.ts'

const limits = thresholds()

test("Student's t agrees with the table (two-sided 90 %: 2.353, 1.812, 1.697 at 3, 10, 30 degrees)", () => {
  expect(student90(3)).toBeCloseTo(2.353, 1)
  expect(student90(10)).toBeCloseTo(1.812, 3)
  expect(student90(30)).toBeCloseTo(1.697, 3)
})

test('days have 23, 24 or 25 hours', () => {
  // New York: 2024-03-10 lost an hour, 2024-11-03 got one.
  const days = localDays({ startAt: Date.UTC(2024, 0, 1, 5), hours: 366 * 24, timeZone: 'America/New_York' })
  expect(days).toHaveLength(366)
  expect(days[69]!.hours).toBe(23)
  expect(days[307]!.hours).toBe(25)
  expect(days.reduce((sum, day) => sum + day.to - day.from, 0)).toBe(366 * 24)
})

test('slope and mean intervals hold the truth about 9 times of 10 although days resemble each other', () => {
  const draw = normal(seeded(5))
  const [runs, days] = [400, 60]
  let [slopes, means] = [0, 0]
  for (let run = 0; run < runs; run++) {
    let [weather, noise] = [draw(), draw()]
    const x = new Float64Array(days)
    const y = new Float64Array(days)
    const alone = new Float64Array(days)
    for (let d = 0; d < days; d++) {
      weather = 0.7 * weather + draw()
      noise = 0.7 * noise + draw()
      x[d] = weather
      alone[d] = noise
      y[d] = 0.5 * weather + noise
    }
    const { slope } = slopeOfDays(x, y)!
    const mean = meanOfDays(alone)!
    if (slope.low <= 0.5 && slope.high >= 0.5) slopes++
    if (mean.low <= 0 && mean.high >= 0) means++
  }
  // 90 % is meant; two standard errors of 400 runs are 3 %.
  expect(slopes / runs).toBeGreaterThan(0.87)
  expect(means / runs).toBeGreaterThan(0.85)
  expect(means / runs).toBeLessThan(0.98)
})

const DAYS = 60
const weather = (h: number) =>
  12 + 5 * Math.sin((2 * Math.PI * h) / (24 * 9)) + 2 * Math.sin((2 * Math.PI * h) / (24 * 23))
const made = (inside: (h: number) => number) =>
  observedOf(DAYS * 24, [spotWithVapor(DAYS * 24, inside, 22)], {
    outdoor: outdoorOf(DAYS * 24, 16, (h) => vaporAtDewPoint(weather(h))),
  })

test('a space that is outdoor air a day late follows it, with the lag found', () => {
  const coupling = couplingToOutdoorAir(
    made((h) => vaporAtDewPoint(weather(h - 24)) + 20),
    made(() => 1000).spots[0]!,
    false,
    limits,
  )
  expect(coupling.verdict).not.toBe('follows outdoor air') // the constant spot was asked, not the lagged one
  const lagged = made((h) => vaporAtDewPoint(weather(h - 24)) + 20)
  const answer = couplingToOutdoorAir(lagged, lagged.spots[0]!, false, limits)
  expect(answer).toMatchObject({ verdict: 'follows outdoor air', lagDays: 1 })
  if (answer.verdict !== 'follows outdoor air') throw new Error('unreachable')
  expect(answer.slope.slope.mid).toBeCloseTo(1, 1)
  expect(answer.excessPa.mid).toBeGreaterThan(-60)
})

test('a steady source makes it moister, by the excess that was put in', () => {
  const observed = made((h) => vaporAtDewPoint(weather(h)) + 300)
  const answer = couplingToOutdoorAir(observed, observed.spots[0]!, false, limits)
  expect(answer.verdict).toBe('moister than outdoor air')
  expect(answer.excessPa!.mid).toBeCloseTo(300, 6)
})

test('80 Pa counts only after the sensors were side by side', () => {
  const observed = made((h) => vaporAtDewPoint(weather(h)) + 80)
  expect(couplingToOutdoorAir(observed, observed.spots[0]!, false, limits).verdict).toBe('follows outdoor air')
  expect(couplingToOutdoorAir(observed, observed.spots[0]!, true, limits).verdict).toBe('moister than outdoor air')
})

test('too few days and no outdoor air are typed answers that say what is needed', () => {
  const observed = made((h) => vaporAtDewPoint(weather(h)))
  const short = {
    ...observed,
    spots: observed.spots.map((s) => ({
      ...s,
      vaporPressurePa: s.vaporPressurePa.map((v, h) => (h < 240 ? v : Number.NaN)),
    })),
  }
  expect(couplingToOutdoorAir(short, short.spots[0]!, false, limits)).toMatchObject({
    verdict: 'cannot tell',
    needs: '4 more complete days',
  })
  expect(couplingToOutdoorAir({ ...observed, outdoor: null }, observed.spots[0]!, false, limits).verdict).toBe(
    'cannot tell',
  )
})

test('excess on cold dry days needs rain to be known', () => {
  const cold = observedOf(20 * 24, [spotWithVapor(20 * 24, 900, 12)], { outdoor: outdoorOf(20 * 24, 2, 500) })
  expect(excessByWeather(cold, cold.spots[0]!, cold.outdoor!, limits).coldDry).toBeNull()
  const dry = { ...cold, rain: { step: 'hourly' as const, rainMm: new Float64Array(20 * 24) } }
  const { coldDry, humid } = excessByWeather(dry, dry.spots[0]!, dry.outdoor!, limits)
  expect(coldDry!.mid).toBeCloseTo(400, 9)
  expect(coldDry!.days).toBe(17) // the first three days lie less than 72 h into the record
  expect(humid).toBeNull()
})

test.each([
  ['attic-r2-hourly.csv.gz', 'air'],
  ['attic-r5-hourly.csv.gz', 'air'],
])('%s: RH far from outdoors, vapor the same', (file, key) => {
  const observed = realHouse(file, [key])
  const spot = observed.spots[0]!
  const outdoor = observed.outdoor as unknown as { rhPct: Float64Array }
  const apart = spot.rhPct.map((rh, h) => rh - outdoor.rhPct[h]!)
  expect(meanOver(apart.map(Math.abs), 0, observed.hours)).toBeGreaterThan(6)
  const answer = couplingToOutdoorAir(observed, spot, true, limits) // true: the narrow limit of 50 Pa
  expect(answer.verdict).toBe('follows outdoor air')
  expect(Math.abs(answer.excessPa!.mid)).toBeLessThan(20)
  expect(observed.hours * HOUR).toBeGreaterThan(579 * 24 * HOUR)
})
