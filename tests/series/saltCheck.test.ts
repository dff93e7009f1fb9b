/** Made runs of a probe in a salt box: settled, drifting, swinging, worn; one salt and two. */
import { expect, test } from 'vitest'
import { thresholds } from '../../server/advice/thresholds.ts'
import { saltRhPct } from '../../server/physics/salts.ts'
import { type CheckSalt, judgeSalts, type SaltPoint, saltReading } from '../../server/series/saltCheck.ts'
import { HOUR, MINUTE, madeReadings, normal, seeded } from '../support/series.ts'

const FROM = Date.UTC(2026, 4, 1, 18)
const LIMITS = thresholds()

interface Run {
  salt?: CheckSalt
  offset?: number
  hours?: number
  /** How far RH is from the salt's at first, and how fast it comes [h]. */
  start?: number
  settlingH?: number
  tempC?: (hours: number) => number
}

function run({ salt = 'NaCl', offset = 0, hours = 24, start = -25, settlingH = 2, tempC = () => 20 }: Run) {
  const noise = normal(seeded(7))
  const since = (at: number) => (at - FROM) / HOUR
  const readings = madeReadings({
    from: FROM,
    to: FROM + hours * HOUR,
    everyMs: 10 * MINUTE,
    tempC: (at) => tempC(since(at)),
    rhPct: (at) => saltRhPct(salt, 20) + offset + start * Math.exp(-since(at) / settlingH) + 0.1 * noise(),
  })
  return saltReading(readings, salt, { from: FROM, to: FROM + hours * HOUR }, LIMITS)
}

function point(asked: Run): SaltPoint {
  const found = run(asked)
  if (!found.settled) throw new Error(found.reason)
  return found.point
}

test('a settled probe gives its offset within its margin, whatever the salt', () => {
  for (const salt of ['LiCl', 'MgCl2', 'NaCl', 'KCl', 'K2SO4'] as const) {
    for (const offset of [-4, 0, 3]) {
      const found = point({ salt, offset })
      expect(Math.abs(found.offsetPct - offset)).toBeLessThan(0.1)
      expect(found.marginPct).toBeGreaterThan(0.1)
      expect(found.marginPct).toBeLessThan(1)
    }
  }
})

test('the margin of sodium chloride at 20 °C: 0.14 % of the table and a tenth of a kelvin', () => {
  // 75.47 % RH changes by 6.2 % of itself for one kelvin at 20 °C: 0.47 % for 0.1 K.
  expect(point({}).marginPct).toBeCloseTo(Math.hypot(0.14, 0.47), 1)
})

test('before twelve hours, while it drifts, while the room swings, or unheard it has not settled', () => {
  expect(run({ hours: 8 })).toMatchObject({ settled: false, hoursToGo: 4 })
  expect(run({ hours: 14, settlingH: 12 })).toMatchObject({ settled: false, reason: expect.stringContaining('rises') })
  expect(run({ hours: 14, settlingH: 12, start: 20 })).toMatchObject({ reason: expect.stringContaining('falls') })
  expect(run({ tempC: (hours) => 20 + 2 * Math.sin(hours) })).toMatchObject({
    settled: false,
    reason: expect.stringContaining('temperature moved'),
  })
  expect(run({ tempC: () => 3 })).toMatchObject({ settled: false, reason: expect.stringContaining('too cold') })
  const silent = madeReadings({ from: FROM, to: FROM + HOUR, everyMs: 10 * MINUTE, tempC: () => 20, rhPct: () => 75 })
  expect(saltReading(silent, 'NaCl', { from: FROM, to: FROM + 24 * HOUR }, LIMITS)).toMatchObject({
    settled: false,
    reason: expect.stringContaining('heard 0 times'),
  })
})

test('one salt: fine, to be corrected, or worn', () => {
  expect(judgeSalts([point({ offset: 1.2 })], LIMITS)).toMatchObject({ verdict: 'fine', correctionPct: null })
  const off = judgeSalts([point({ offset: 3.5 })], LIMITS)
  expect(off).toMatchObject({ verdict: 'correct', slope: null })
  expect(off.correctionPct).toBeCloseTo(-3.5, 0)
  expect(judgeSalts([point({ offset: -9 })], LIMITS)).toMatchObject({
    verdict: 'reject',
    reason: expect.stringContaining('too low'),
  })
})

test('two salts: an even error is corrected at 80 %, one that grows with humidity is not', () => {
  const even = judgeSalts([point({ salt: 'NaCl', offset: 3 }), point({ salt: 'MgCl2', offset: 2.5 })], LIMITS)
  expect(even.verdict).toBe('correct')
  // 0.5 % over the 42.4 % between the salts, and 4.5 % beyond sodium chloride.
  expect(even.correctionPct).toBeCloseTo(-3.05, 0)
  expect(even.slope).toBeCloseTo(1 + 0.5 / 42.4, 2)
  const growing = judgeSalts([point({ salt: 'MgCl2', offset: -6 }), point({ salt: 'NaCl', offset: 3 })], LIMITS)
  expect(growing).toMatchObject({ verdict: 'reject', correctionPct: null })
  expect(growing.reason).toContain('changes with humidity')
})
