/** What the pages of loggers make of the service's answers. */
import { expect, test } from 'vitest'
import type { IntakeAnswer, RefusedMessagesAnswer } from '../../../server/http/contract/loggers.ts'
import { placeOf } from '../../../web/base/router.tsx'
import { ageText, ageWords } from '../../../web/base/time.ts'
import { shrunkSize } from '../../../web/loggers/shrink.ts'
import {
  announcement,
  clockText,
  fullName,
  gapsText,
  intakeSentences,
  intervalText,
  isThisMachine,
  lastAt,
  readingsText,
  refusedByReason,
  signalText,
  valuesText,
} from '../../../web/loggers/words.ts'
import { logger, probe } from './made.ts'

const plainSpaces = (text: string) => text.replaceAll('\u00a0', ' ').replaceAll('\u202f', ' ')

test('their addresses, with what stands behind the question mark', () => {
  expect(placeOf('/loggers')).toEqual({ page: 'loggers' })
  expect(placeOf('/loggers/new', '?house=maple')).toEqual({ page: 'enroll', forHouse: 'maple' })
  expect(placeOf('/loggers/new')).toEqual({ page: 'enroll', forHouse: null })
  expect(placeOf('/loggers/labels', '?keys=a,b')).toEqual({ page: 'labels', keys: ['a', 'b'] })
  expect(placeOf('/loggers/labels')).toEqual({ page: 'labels', keys: [] })
  expect(placeOf('/loggers/K7M4X')).toEqual({ page: 'logger', logger: 'K7M4X' })
  expect(placeOf('/loggers/a/b')).toEqual({ page: 'nowhere' })
  expect(placeOf('/live', '?house=maple')).toEqual({ page: 'live', ofHouse: 'maple' })
  expect(placeOf('/live')).toEqual({ page: 'live', ofHouse: null })
})

test('ages count in seconds, minutes, hours, days; a clock that is ahead makes none negative', () => {
  const [s, min, h, day] = [1000, 60_000, 3_600_000, 86_400_000]
  expect([8 * s, 89 * s, 3 * min, 89 * min, 2 * h, 47 * h, 5 * day].map(ageWords)).toEqual([
    '8 s',
    '89 s',
    '3 min',
    '89 min',
    '2 h',
    '47 h',
    '5 days',
  ])
  expect(ageText(-3000)).toBe('0 s ago')
})

test('values stand in the units of the person, and only what was read', () => {
  const { last } = probe({ tempC: 20.11, rhPct: 81.2, dewPointC: 16.8 })
  expect(plainSpaces(valuesText(last!, 'us'))).toBe('68.2 °F, 81 % RH')
  expect(plainSpaces(valuesText(last!, 'si', { dewPoint: true }))).toBe('20.1 °C, 81 % RH, dew point 16.8 °C')
  const wet = probe({ waterPresent: true, woodMcPct: 21.34 })
  expect(plainSpaces(valuesText(wet.last!, 'us'))).toBe('wood 21.3 %, water present')
  expect(valuesText(probe({}).last!, 'us')).toBe('no values')
})

test('several probes are named, one is not; one that was never read is not told', () => {
  const air = probe({ tempC: 20 }, { probe: 'air' })
  const joist = probe({ woodMcPct: 17 }, { probe: 'joist', at: 2000 })
  const two = logger({ probes: [air, joist, { probe: 'floor', placed: null, last: null }] })
  expect(plainSpaces(readingsText(two, 'si'))).toBe('air: 20.0 °C; joist: wood 17.0 %')
  expect(plainSpaces(readingsText(logger({ probes: [air] }), 'si'))).toBe('20.0 °C')
  expect(lastAt(two)).toBe(2000)
  expect(lastAt(logger({ probes: [] }))).toBeNull()
})

test('gaps tell apart what is asked for again from what never comes', () => {
  expect(gapsText({ missing: 0, missed: 0 })).toBeNull()
  expect(gapsText({ missing: 1, missed: 0 })).toBe('1 message asked for again')
  expect(gapsText({ missing: 2, missed: 1200 })).toBe('2 messages asked for again, 1,200 messages lost for good')
})

test('signal, clock and interval', () => {
  expect(signalText(-84)).toBe('−84 dBm')
  expect(signalText(-114)).toContain('weak')
  expect(clockText(0.4)).toBe('right to the second')
  expect(clockText(-12)).toBe('12 s slow')
  expect(clockText(45)).toBe('45 s fast')
  expect(clockText(600)).toBe('10 min fast; measured day by day, and put right by dated corrections')
  expect([10, 60, 900, 3600, 7200].map(intervalText)).toEqual([
    'every 10 s',
    'every 1 min',
    'every 15 min',
    'every hour',
    'every 2 h',
  ])
})

test('the code tells loggers of one name apart', () => {
  expect(fullName(logger({ name: 'Box', code: 'K7M4X' }))).toBe('Box (K7M4X)')
  expect(fullName(logger({ name: null, key: 'logger-k7m4x', code: 'K7M4X' }))).toBe('logger-k7m4x')
})

const intake = (broker: Partial<IntakeAnswer['broker']>, rest: Partial<IntakeAnswer> = {}): IntakeAnswer => ({
  broker: {
    kind: 'own',
    address: 'mqtt://192.0.2.7:1883',
    state: 'listening',
    since: 0,
    problem: null,
    nextTryAt: null,
    connections: 2,
    ...broker,
  },
  paused: null,
  waitingMessages: 0,
  silentHouses: [],
  notes: [],
  ...rest,
})

test('how readings come in is one calm sentence, or what is wrong and when it is tried again', () => {
  expect(intakeSentences(intake({}))).toEqual([
    { trouble: false, text: 'Loggers are listened to at mqtt://192.0.2.7:1883; 2 are connected now.' },
  ])
  expect(intakeSentences(intake({ address: 'mqtt://127.0.0.1:1883', connections: 0 }))[0]!.text).toContain(
    'on this machine only; no logger is connected now',
  )
  const [down] = intakeSentences(
    intake({ kind: 'outside', state: 'waiting', problem: 'The password is refused.', nextTryAt: 5000 }),
  )
  expect(down).toMatchObject({ trouble: true })
  expect(down!.text).toMatch(/^The password is refused\. Tried again at \d+:\d\d:\d\d/)
  const paused = intakeSentences(intake({}, { paused: 'The disk is full.', waitingMessages: 3, notes: ['Look here.'] }))
  expect(paused.map(({ trouble }) => trouble)).toEqual([true, false, true])
  expect(paused[0]!.text).toBe('Readings are not stored for now: The disk is full. 3 messages wait for it.')
  expect(intakeSentences(intake({ kind: 'none', state: 'off' }, { notes: ['No broker.'] }))).toEqual([
    { trouble: true, text: 'No broker.' },
  ])
})

test('an address that only this machine reaches is known', () => {
  for (const own of ['http://127.0.0.1:8484', 'mqtt://localhost:1883', 'mqtts://[::1]:8883']) {
    expect(isThisMachine(own)).toBe(true)
  }
  for (const other of ['mqtt://192.0.2.7:1883', 'mqtts://broker.example:8883', '']) {
    expect(isThisMachine(other)).toBe(false)
  }
})

test('the ear is told when it is first heard and when it falls late, not each value', () => {
  const waiting = logger({ name: 'Box 3', standing: 'waiting', probes: [] })
  const heard = logger({ name: 'Box 3', standing: 'heard', probes: [probe({ tempC: 20 })] })
  expect(plainSpaces(announcement(waiting, heard, 'si')!)).toBe('Box 3 is heard: 20.0 °C.')
  expect(announcement(heard, { ...heard, heardAt: 9 }, 'si')).toBeNull()
  expect(announcement(heard, { ...heard, standing: 'late' }, 'si')).toBe('Box 3 is late.')
  expect(announcement(null, heard, 'si')).toBeNull()
})

test('refusals are counted by reason, the commonest first, of each the latest first', () => {
  const refused = (reason: string, count: number, lastAt: number) =>
    ({ reason, count, lastAt }) as RefusedMessagesAnswer['refused'][number]
  const found = refusedByReason([refused('future', 1, 1), refused('malformed', 2, 2), refused('malformed', 3, 9)])
  expect(found.map(({ reason, count }) => [reason, count])).toEqual([
    ['malformed', 5],
    ['future', 1],
  ])
  expect(found[0]!.of.map(({ lastAt: at }) => at)).toEqual([9, 2])
})

test('photos are made smaller, never larger, and keep their shape', () => {
  expect(shrunkSize(4000, 3000)).toEqual([2000, 1500])
  expect(shrunkSize(3000, 4000)).toEqual([1500, 2000])
  expect(shrunkSize(640, 480)).toEqual([640, 480])
})
