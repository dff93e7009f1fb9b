/** What the page of checks makes of the service's answers. */
import { expect, test } from 'vitest'
import { placeOf } from '../../web/base/router.tsx'
import {
  actsFor,
  byHouse,
  correctionText,
  endedText,
  hoursText,
  offsetLines,
  preparation,
  TRACE_HEIGHT,
  TRACE_WIDTH,
  traceDrawn,
  waitText,
  whereabouts,
} from '../../web/checks/words.ts'

test('its addresses', () => {
  expect(placeOf('/checks')).toEqual({ page: 'checks', check: null })
  expect(placeOf('/checks/12')).toEqual({ page: 'checks', check: 12 })
  expect(placeOf('/checks/twelve')).toEqual({ page: 'nowhere' })
})

test('how long it takes is told in hours, the last one in minutes, never as nothing', () => {
  expect([0.001, 0.5, 2.2, 24].map(hoursText)).toEqual(['1 min', '30 min', '3 h', '24 h'])
  const standing = { ready: false, hoursToGo: 2.2, hoursToAdvised: 18, sentence: '', probes: [] }
  expect(waitText(standing)).toContain('about 3 h to go')
  expect(waitText({ ...standing, hoursToGo: null })).toBeNull()
  expect(waitText({ ...standing, ready: true })).toContain('The others need')
  expect(waitText({ ...standing, ready: true, hoursToGo: 0 })).toContain('In 18 h')
  expect(waitText({ ...standing, ready: true, hoursToGo: 0, hoursToAdvised: 0 })).toBe('It can be finished.')
})

test('offsets come with their intervals, in the units of the person', () => {
  const probe = {
    rhPct: { low: 2.6, mid: 3.1, high: 3.6 },
    tempK: { low: 0.4, mid: 0.5, high: 0.6 },
    vaporPa: { low: -50, mid: -40, high: -30 },
    expectedRhPct: null,
  }
  expect(offsetLines(probe, 'us')).toEqual([
    'RH apart from the others by 3.1 (2.6 to 3.6) % RH',
    'Temperature apart from the others by 0.90 (0.72 to 1.08) °F',
    // 6.32e-6 kg/kg a pascal, 7000 grains a pound.
    'Vapor apart from the others by −1.8 (−2.2 to −1.3) grains/lb',
  ])
  expect(offsetLines(probe, 'si')[1]).toBe('Temperature apart from the others by 0.50 (0.40 to 0.60) °C')
  const salt = { rhPct: probe.rhPct, tempK: null, vaporPa: null, expectedRhPct: 75.4 }
  expect(offsetLines(salt, 'us')).toEqual(['RH off by 3.1 (2.6 to 3.6) % RH'])
  expect(offsetLines({ ...salt, rhPct: null }, 'us')).toEqual([])
})

test('corrections and what became of a probe', () => {
  const both = [
    { quantity: 'rhPct' as const, offset: -3.1 },
    { quantity: 'tempC' as const, offset: 0.5 },
  ]
  expect(correctionText(both, 'us')).toBe('add −3.1 % RH and +0.90 °F')
  expect(correctionText([{ quantity: 'rhPct', offset: 0 }], 'us')).toBe('nothing to add')
  expect(endedText({ act: 'store', stored: both, hungAgain: 'crawl/low' }, 'si')).toContain('+0.50 °C. It hangs again.')
  expect(endedText({ act: 'reject', stored: [], hungAgain: null }, 'si')).toBe('Rejected. It hangs nowhere.')
})

test('a probe that is worn cannot be stored, one that has not settled neither; the advised choice comes first', () => {
  const acts = (verdict: 'fine' | 'correct' | 'reject' | null) => actsFor({ verdict }).map(({ act }) => act)
  expect(acts('fine')[0]).toBe('store')
  expect(acts('correct')[0]).toBe('store')
  expect(acts('reject')).toEqual(['reject', 'keep'])
  expect(acts(null)).toEqual(['keep', 'reject'])
})

test('probes stand under their house, those of none at the end', () => {
  const probe = (path: string, house: string | null) => ({
    path,
    name: path,
    loggerName: null,
    loggerCode: null,
    hasRadio: true,
    hung: null,
    house,
    inCheck: null,
    rejectedAt: null,
    checkedAt: null,
  })
  const houses = [
    { key: 'a', name: 'Alder', invented: true },
    { key: 'b', name: 'Birch', invented: false },
  ]
  const groups = byHouse({ probes: [probe('x/air', null), probe('y/air', 'a')], houses })
  expect(groups.map(({ name, invented, probes }) => [name, invented, probes.length])).toEqual([
    ['Alder', true, 1],
    ['Of no house yet', false, 1],
  ])
  expect(whereabouts(probe('x/air', null))).toBe('hangs nowhere')
  expect(whereabouts({ ...probe('x/air', null), inCheck: 4 })).toBe('in check 4')
  expect(whereabouts({ ...probe('x/air', null), rejectedAt: 1 })).toContain('rejected')
})

test('the line since the box was closed stays within its frame, the salt at its height', () => {
  const trace = { at: [0, 50, 100], rhPct: [45, 70, 75] }
  const drawn = traceDrawn({ trace, expectedRhPct: 75.5 })!
  expect(drawn.path.startsWith('M0.0 ')).toBe(true)
  expect(drawn.path).toContain(`L${TRACE_WIDTH.toFixed(1)} `)
  expect(drawn.wantedY).toBeGreaterThan(0)
  expect(drawn.wantedY).toBeLessThan(TRACE_HEIGHT / 4)
  expect(traceDrawn({ trace: { at: [0], rhPct: [45] }, expectedRhPct: null })).toBeNull()
})

test('setting the box up says what ruins it', () => {
  expect(preparation('salt').join(' ')).toMatch(/food.*crystals must stay.*ruins the sensor/)
  expect(preparation('side by side').join(' ')).toContain('Metal keeps radio in')
})
