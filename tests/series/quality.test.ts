import { expect, test } from 'vitest'
import { batteryMarks } from '../../server/series/batteryQuality.ts'
import { clockJumpMarks } from '../../server/series/clockQuality.ts'
import { markBit, marksOfBits, setMarkBits } from '../../server/series/marks.ts'
import { gapMarks, saturatedMarks, spikeMarks, stuckMarks } from '../../server/series/quality.ts'
import { columns, DAY, HOUR, MINUTE, madeReadings, swing } from '../support/series.ts'

const START = Date.UTC(2024, 5, 1)
const plain = { from: START, to: START + 20 * DAY, everyMs: 15 * MINUTE, tempC: swing(18, 2), rhPct: swing(75, 6) }

test('ordinary readings carry no mark', () => {
  const readings = madeReadings(plain)
  expect([
    ...gapMarks(readings.at),
    ...stuckMarks(readings),
    ...saturatedMarks(readings),
    ...spikeMarks(readings),
    ...clockJumpMarks(readings.at),
  ]).toEqual([])
})

test('a gap is silence of more than 3 h, and says so when it is longer than 5 days', () => {
  const at = Float64Array.from([0, 3, 6.5, 6.5 + 121].map((hours) => START + hours * HOUR))
  const marks = gapMarks(at)
  expect(marks.map(({ numbers }) => numbers.silentHours)).toEqual([3.5, 121])
  expect(marks[0]!.reason).not.toContain('5 days')
  expect(marks[1]!.reason).toContain('Longer than 5 days')
})

test('temperature and RH unchanged for 24 h are stuck, for 23 h not', () => {
  const stuckFor = (hours: number) => {
    const frozen = (at: number) => at >= START + DAY && at <= START + DAY + hours * HOUR
    return stuckMarks(
      madeReadings({
        ...plain,
        tempC: (at) => (frozen(at) ? 18.2 : swing(18, 2)(at)),
        rhPct: (at) => (frozen(at) ? 74.3 : swing(75, 6)(at)),
      }),
    )
  }
  expect(stuckFor(23)).toEqual([])
  const [mark] = stuckFor(24)
  expect(mark).toMatchObject({ kind: 'stuck', from: START + DAY, to: START + DAY + 24 * HOUR + 1 })
})

test('RH alone is stuck after 48 h, but not at 99 % and more, where air simply stays saturated', () => {
  const held = (rhPct: number) => stuckMarks(madeReadings({ ...plain, rhPct: () => rhPct }))
  expect(held(74.3)).toHaveLength(1)
  expect(held(100)).toEqual([])
})

test('a gap in a stuck stretch ends it: silence is not proof of sameness', () => {
  const at = [0, 1, 2, 22, 23, 24, 25].map((hours) => START + hours * HOUR)
  expect(stuckMarks(columns({ at, tempC: at.map(() => 18), rhPct: at.map(() => 70) }))).toEqual([])
})

test('a saturated sensor is marked through its slow fall', () => {
  const rhPct = (at: number) => {
    const hours = (at - START) / HOUR
    return hours < 30 ? 97.5 - 0.01 * hours : Math.max(80, 97 - 0.5 * (hours - 30))
  }
  const [mark] = saturatedMarks(madeReadings({ ...plain, rhPct }))
  expect(mark!.from).toBe(START)
  expect((mark!.to - START) / HOUR).toBeCloseTo(44, 0) // 97 % falls to 90 % in 14 h
})

test('a person in the space for half an hour is a spike; a machine that cycles all day is not', () => {
  const visit = (at: number) => (at >= START + 5 * DAY && at < START + 5 * DAY + 30 * MINUTE ? 4 : 0)
  const marks = spikeMarks(madeReadings({ ...plain, tempC: (at) => swing(18, 2)(at) + visit(at) }))
  expect(marks).toHaveLength(1)
  expect(marks[0]).toMatchObject({ from: START + 5 * DAY, to: START + 5 * DAY + 30 * MINUTE, numbers: { minutes: 30 } })

  const cycling = (at: number) => (Math.floor(at / (45 * MINUTE)) % 2 === 0 ? 12 : 0)
  expect(spikeMarks(madeReadings({ ...plain, rhPct: (at) => 55 + cycling(at) }))).toEqual([])
})

test('a weather front is not a spike, because it does not come back', () => {
  const front = (at: number) => (at > START + 5 * DAY ? -6 : 0)
  expect(spikeMarks(madeReadings({ ...plain, tempC: (at) => swing(18, 2)(at) + front(at) }))).toEqual([])
})

test('a clock that was set shows as a broken beat, a lost reading does not', () => {
  const beat = Array.from({ length: 200 }, (_, i) => START + i * 10 * MINUTE)
  const lost = beat.filter((_, i) => i !== 100)
  expect(clockJumpMarks(Float64Array.from(lost))).toEqual([])
  const set = beat.map((at, i) => (i < 100 ? at : at + 4 * MINUTE))
  const marks = clockJumpMarks(Float64Array.from(set))
  expect(marks).toHaveLength(1)
  expect(marks[0]).toMatchObject({ kind: 'clock jump', to: set[100], numbers: { jumpSeconds: 240 } })
})

test('a battery is dying when it does not come back, not when one cold night pulls it down', () => {
  const at = Float64Array.from({ length: 60 * 24 }, (_, i) => START + i * HOUR)
  const cold = at.map((t) => (t >= START + 20 * DAY && t < START + 21 * DAY ? 2.5 : 3))
  expect(batteryMarks({ at, batteryMinV: cold })).toEqual([])
  const falling = at.map((t) => 3 - Math.max(0, (t - START - 40 * DAY) / DAY) * 0.04)
  const [mark] = batteryMarks({ at, batteryMinV: falling })
  expect((mark!.from - START) / DAY).toBeCloseTo(49, 0) // 0.88 of 3 V is 2.64 V, nine days down the slope
})

test('marks become bits of the hours they touch', () => {
  const at = Float64Array.from([0, 1, 2, 3].map((hours) => START + hours * HOUR))
  const bits = new Float64Array(4)
  const mark = { reason: '', numbers: {} }
  setMarkBits(bits, at, [
    { ...mark, kind: 'spike', from: START + 90 * MINUTE, to: START + 2 * HOUR },
    { ...mark, kind: 'stuck', from: START + HOUR, to: START + 2 * HOUR + 1 },
  ])
  expect([...bits]).toEqual([0, markBit('spike') | markBit('stuck'), markBit('stuck'), 0])
  expect(marksOfBits(bits[1]!)).toEqual(['stuck', 'spike'])
})
