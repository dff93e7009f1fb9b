import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { thresholds } from '../../server/advice/thresholds.ts'
import { buildHourly } from '../../server/series/hourly.ts'
import { sideBySideOffsets as offsetsWithin } from '../../server/series/sideBySide.ts'
import { columns } from '../support/series.ts'

// Six real loggers in one room until 2020-12-19 12:00 (UTC+2), then mounted in a wall: TRH-database, house R1, CC BY 4.0.
const lines = readFileSync(new URL('../data/loggers-side-by-side.csv', import.meta.url), 'utf8')
  .trim()
  .split('\n')
const header = lines[1]!.split(',')
const rows = lines.slice(2).map((line) => line.split(','))
const at = rows.map((row) => Date.parse(`${row[0]!.replace(' ', 'T')}+02:00`))
const TOGETHER = { from: Date.parse('2020-12-18T15:00:00+02:00'), to: Date.parse('2020-12-19T12:00:00+02:00') }

const sideBySideOffsets = (probes: Parameters<typeof offsetsWithin>[0], span: Parameters<typeof offsetsWithin>[1]) =>
  offsetsWithin(probes, span, thresholds())

const names = header.filter((name) => name.endsWith(' T')).map((name) => name.slice(0, -2))
const readingsOf = (name: string, rhOffset = 0) => {
  const column = (label: string) => rows.map((row) => Number(row[header.indexOf(label)]))
  return columns({ at, tempC: column(`${name} T`), rhPct: column(`${name} RH`).map((rh) => rh + rhOffset) })
}
const real = names.map((key) => ({ key, hours: buildHourly(readingsOf(key)) }))

test('six real loggers that lay side by side need no correction', () => {
  const answer = sideBySideOffsets(real, TOGETHER)
  if (answer.verdict === 'cannot tell') throw new Error(answer.reason)
  expect(answer.verdict).toBe('no correction needed')
  expect(answer.corrections).toEqual([])
  // The description of the data: from 00:00 to 08:00 they agree within 0.05 °C and 0.3 % RH.
  for (const { tempOffsetK, rhOffsetPct } of answer.offsets) {
    expect(Math.abs(tempOffsetK)).toBeLessThan(0.05)
    expect(Math.abs(rhOffsetPct)).toBeLessThan(0.3)
  }
})

test('a logger that reads 4 % RH too high is found among them and its correction proposed', () => {
  const answer = sideBySideOffsets([...real, { key: 'wet', hours: buildHourly(readingsOf('indoor', 4)) }], TOGETHER)
  if (answer.verdict === 'cannot tell') throw new Error(answer.reason)
  expect(answer.verdict).toBe('correct these')
  expect(answer.corrections).toHaveLength(1)
  expect(answer.corrections[0]).toMatchObject({ key: 'wet', quantity: 'rhPct' })
  expect(answer.corrections[0]!.offset).toBeCloseTo(-4, 0)
  const corrected = buildHourly(readingsOf('indoor', 4), [
    { quantity: 'rhPct', offset: answer.corrections[0]!.offset, from: TOGETHER.from, to: null },
  ])
  expect(sideBySideOffsets([...real, { key: 'wet', hours: corrected }], TOGETHER).verdict).toBe('no correction needed')
})

test('after they were mounted in the wall their differences are the wall, and the short disturbed span cannot tell', () => {
  const answer = sideBySideOffsets(real, {
    from: Date.parse('2020-12-19T12:00:00+02:00'),
    to: Date.parse('2020-12-19T18:00:00+02:00'),
  })
  expect(answer).toMatchObject({ verdict: 'cannot tell', needs: expect.stringContaining('24 hours') })
})

test('one logger alone cannot tell', () => {
  expect(sideBySideOffsets(real.slice(0, 1), TOGETHER).verdict).toBe('cannot tell')
})

const wet = (rhOffset: number, key = 'wet') => ({ key, hours: buildHourly(readingsOf('indoor', rhOffset)) })

test('one that reads 12 % RH too high is rejected, and does not drag the others along', () => {
  const answer = sideBySideOffsets([...real, wet(12)], TOGETHER)
  if (answer.verdict === 'cannot tell') throw new Error(answer.reason)
  expect(answer.verdict).toBe('reject these')
  expect(answer.corrections).toEqual([])
  const found = answer.offsets.find(({ key }) => key === 'wet')!
  expect(found).toMatchObject({ verdict: 'reject', reason: expect.stringContaining('12.0 % RH') })
  // 12 % of about 2,400 Pa at 20 °C.
  expect(found.vaporOffsetPa).toBeGreaterThan(200)
  expect(answer.offsets.filter(({ verdict }) => verdict === 'fine')).toHaveLength(6)
})

test('of three the one that stands alone is rejected; two that disagree cannot tell which is wrong', () => {
  const three = sideBySideOffsets([wet(0, 'a'), wet(0.4, 'b'), wet(-9, 'c')], TOGETHER)
  if (three.verdict === 'cannot tell') throw new Error(three.reason)
  expect(three.offsets.map(({ verdict }) => verdict)).toEqual(['fine', 'fine', 'reject'])
  expect(sideBySideOffsets([wet(0, 'a'), wet(9, 'b')], TOGETHER)).toMatchObject({
    verdict: 'cannot tell',
    needs: expect.stringContaining('third probe'),
  })
})

test('one whose RH wanders in still air is rejected although its middle is right', () => {
  const steady = readingsOf('indoor')
  const wandering = { ...steady, rhPct: steady.rhPct!.map((rh, i) => rh + 4 * Math.sin(steady.at[i]! / 9e6)) }
  const answer = sideBySideOffsets([...real, { key: 'loose', hours: buildHourly(wandering) }], TOGETHER)
  if (answer.verdict === 'cannot tell') throw new Error(answer.reason)
  expect(answer.offsets.at(-1)).toMatchObject({ verdict: 'reject', reason: expect.stringContaining('wanders') })
})
