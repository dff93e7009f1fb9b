import { expect, test } from 'vitest'
import { type ComparedDay, matchDays, matchedDaysEffect } from '../../server/series/matchedDays.ts'
import { normal, seeded } from '../support/series.ts'

/** Days whose excess follows slow weather of its own (r = 0.8), as real ones do, plus an effect. */
function days(count: number, firstDay: number, effectPa: number, random: () => number): ComparedDay[] {
  const noise = normal(random)
  let slow = noise()
  return Array.from({ length: count }, (_, i) => {
    slow = 0.8 * slow + 0.6 * noise()
    const dayNumber = firstDay + i
    return {
      date: new Date(dayNumber * 86_400_000).toISOString().slice(0, 10),
      dayNumber,
      dayOfYear: dayNumber % 365,
      excessPa: 200 + effectPa + 60 * slow,
      outdoorDewPointC: 14 + 4 * noise(),
      rain: random() < 0.4 ? 'wet' : 'dry',
    }
  })
}

test('pairs agree in dew point, rain and season, and no day is used twice', () => {
  const random = seeded(3)
  const pairs = matchDays(days(100, 100, 0, random), days(100, 480, 0, random))
  expect(pairs.length).toBeGreaterThan(40)
  expect(new Set(pairs.map(({ before }) => before.date)).size).toBe(pairs.length)
  expect(new Set(pairs.map(({ after }) => after.date)).size).toBe(pairs.length)
  for (const { before, after } of pairs) {
    expect(Math.abs(before.outdoorDewPointC - after.outdoorDewPointC)).toBeLessThanOrEqual(3 / 1.8)
    expect(before.rain).toBe(after.rain)
    expect(Math.abs(before.dayOfYear - after.dayOfYear)).toBeLessThanOrEqual(45)
  }
})

test('December and January are the same season', () => {
  const random = seeded(4)
  const early = { ...days(1, 360, 0, random)[0]!, outdoorDewPointC: 2, rain: 'dry' as const }
  expect(matchDays([early], [{ ...early, dayNumber: 370, dayOfYear: 5 }])).toHaveLength(1)
  expect(matchDays([early], [{ ...early, dayNumber: 420, dayOfYear: 55 }])).toHaveLength(0)
})

test('a clear effect is found with its size', () => {
  const random = seeded(5)
  const answer = matchedDaysEffect(days(120, 100, 0, random), days(120, 465, -150, random), 10)
  expect(answer.verdict).toBe('drier')
  expect(answer.lowPa).toBeLessThan(-150)
  expect(answer.highPa).toBeGreaterThan(-150)
})

test('a work without effect is seldom called one, and the 90 % interval holds zero about that often', () => {
  let [holds, wrong] = [0, 0]
  const TRIALS = 300
  for (let trial = 0; trial < TRIALS; trial++) {
    const random = seeded(1000 + trial)
    const answer = matchedDaysEffect(days(90, 100, 0, random), days(60, 480, 0, random), 0)
    if (answer.lowPa! <= 0 && answer.highPa! >= 0) holds++
    if (answer.verdict === 'drier' || answer.verdict === 'wetter') wrong++
  }
  expect(holds / TRIALS).toBeGreaterThan(0.86)
  expect(wrong / TRIALS).toBeLessThan(0.06)
})

test('too few pairs, or rain nobody knows, cannot tell and say what is missing', () => {
  const random = seeded(6)
  const before = days(60, 100, 0, random)
  const few = matchedDaysEffect(before, days(6, 480, -300, random), 0)
  expect(few).toMatchObject({ verdict: 'cannot tell', needs: expect.stringContaining('after the work') })
  const blind = (list: ComparedDay[]) => list.map((day) => ({ ...day, rain: 'unknown' as const }))
  const rainless = matchedDaysEffect(blind(before), blind(days(60, 480, -300, random)), 0)
  expect(rainless).toMatchObject({ verdict: 'cannot tell', needs: expect.stringContaining('rain') })
  const winter = matchedDaysEffect(before, days(60, 300, -300, random), 0)
  expect(winter).toMatchObject({ verdict: 'cannot tell', needs: expect.stringContaining('season') })
})

test('sensor drift widens the interval', () => {
  const random = seeded(8)
  const [before, after] = [days(120, 100, 0, random), days(120, 465, 0, random)]
  const width = (drift: number) => {
    const answer = matchedDaysEffect(before, after, drift)
    return answer.highPa! - answer.lowPa!
  }
  expect(width(60)).toBeGreaterThan(width(0) + 50)
})
