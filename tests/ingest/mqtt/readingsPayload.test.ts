import { describe, expect, test } from 'vitest'
import { MOST_PAYLOAD_BYTES } from '../../../server/ingest/mqtt/json.ts'
import { readReadings } from '../../../server/ingest/mqtt/readingsPayload.ts'

const NOW = Date.UTC(2026, 4, 18, 14, 30)

const read = (sent: unknown) => readReadings(Buffer.from(typeof sent === 'string' ? sent : JSON.stringify(sent)), NOW)

function messageOf(sent: unknown) {
  const understood = read(sent)
  if (!understood.ok) throw new Error(understood.refusal.problem)
  return understood.message
}

function refusalOf(sent: unknown) {
  const understood = read(sent)
  if (understood.ok) throw new Error('It was understood.')
  return understood.refusal
}

const instantOf = (at: string) => messageOf({ at, tempC: 14 }).readings[0]?.at

describe('the time of a reading', () => {
  test('is the moment of arrival where a lone reading tells none', () => {
    expect(messageOf({ tempC: 14 }).readings).toEqual([
      { probe: 'air', at: NOW, byArrival: true, values: { tempC: 14 } },
    ])
  })

  test('is counted back from the arrival where only its age is known', () => {
    expect(messageOf({ tempC: 14, ageS: 900.5 }).readings[0]).toMatchObject({ at: NOW - 900_500, byArrival: true })
  })

  test('is told by a clock in seconds or as ISO 8601 with its zone', () => {
    expect(messageOf({ tempC: 14, atS: NOW / 1000 - 60.25 }).readings[0]).toMatchObject({
      at: NOW - 60_250,
      byArrival: false,
    })
    expect(instantOf('2026-05-18T14:15:00Z')).toBe(NOW - 900_000)
    expect(instantOf('2026-05-18T14:15Z')).toBe(NOW - 900_000)
    expect(instantOf('2026-05-18T10:15:00.500-04:00')).toBe(NOW - 899_500)
    expect(instantOf('2024-02-29T00:00:00Z')).toBe(Date.UTC(2024, 1, 29))
  })

  test.each([
    '2026-05-18T14:15:00',
    '2026-05-18',
    '2026-05-18 14:15:00Z',
    '2026-02-30T14:15:00Z',
    '2025-02-29T00:00:00Z',
    '2026-13-01T00:00:00Z',
    '2026-05-18T25:00:00Z',
    '2026-05-18T14:15:00+0400',
    '2026-05-18T14:15:00+99:00',
    'May 18, 2026',
    '',
    null,
    1_779_114_600,
  ])('is not guessed from at %j', (at) => {
    expect(refusalOf({ at, tempC: 14 })).toMatchObject({
      reason: 'malformed',
      problem: expect.stringMatching(/^at is /),
    })
  })

  test('lies between 2000 and a day ahead of now, ends included', () => {
    const from2000 = Date.UTC(2000, 0, 1) / 1000
    const ahead = NOW / 1000 + 86_400
    expect(messageOf({ atS: from2000, tempC: 14 }).readings[0]?.at).toBe(from2000 * 1000)
    expect(messageOf({ atS: ahead, tempC: 14 }).readings[0]?.at).toBe(ahead * 1000)
    expect(refusalOf({ atS: from2000 - 1, tempC: 14 }).reason).toBe('ancient')
    expect(refusalOf({ atS: ahead + 1, tempC: 14 }).reason).toBe('future')
    expect(refusalOf({ atS: 1e300, tempC: 14 }).reason).toBe('future')
    expect(refusalOf({ ageS: 1e300, tempC: 14 }).reason).toBe('ancient')
  })

  test('in milliseconds is named as that', () => {
    expect(refusalOf({ atS: NOW, tempC: 14 }).fix).toContain('milliseconds')
    expect(refusalOf({ atS: NOW / 1000 + 1e6, tempC: 14 }).fix).not.toContain('milliseconds')
  })

  test('is no negative number', () => {
    expect(refusalOf({ ageS: -5, tempC: 14 })).toMatchObject({
      reason: 'malformed',
      problem: expect.stringContaining('ageS is -5'),
    })
  })
})

describe('the values of a reading', () => {
  test('at the ends of their ranges are taken, those beyond are refused alone', () => {
    const { readings, refused } = messageOf({ tempC: 90, surfaceTempC: 90.01, rainMm: 0, powerW: -1, woodMcPct: 200 })
    expect(readings[0]?.values).toEqual({ tempC: 90, rainMm: 0, woodMcPct: 200 })
    expect(refused.map(({ reason, problem }) => [reason, problem])).toEqual([
      ['out of range', 'surfaceTempC is 90.01, expected -60 to 90 °C.'],
      ['out of range', 'powerW is -1, expected 0 to 20000 W.'],
    ])
  })

  test('of a wet humidity sensor that overshoots are 100, as everywhere', () => {
    expect(messageOf({ rhPct: 105 }).readings[0]?.values.rhPct).toBe(100)
    expect(refusalOf({ rhPct: 105.1 }).reason).toBe('out of range')
  })

  test('of a water contact are 0, 1, false or true and nothing between', () => {
    expect(messageOf({ waterPresent: true }).readings[0]?.values.waterPresent).toBe(1)
    expect(messageOf({ waterPresent: 0 }).readings[0]?.values.waterPresent).toBe(0)
    expect(refusalOf({ waterPresent: 0.5 })).toMatchObject({
      reason: 'out of range',
      problem: 'waterPresent is 0.5, expected 0 or 1.',
    })
    expect(refusalOf({ waterPresent: 'yes' }).reason).toBe('malformed')
    expect(refusalOf({ tempC: true }).problem).toBe('tempC is true, expected a number (-60 to 90 °C).')
  })

  test('that could not be measured are null, and nobody is at fault', () => {
    expect(messageOf({ tempC: null, rhPct: 80 })).toMatchObject({ readings: [{ values: { rhPct: 80 } }], refused: [] })
    expect(messageOf({ tempC: null })).toMatchObject({ readings: [], refused: [] })
    expect(messageOf({ readings: [{ tempC: null, ageS: 0 }], seq: 1, run: 'a' })).toMatchObject({
      readings: [],
      refused: [],
    })
  })

  test('all bad, the message is refused for the first, and its number counts', () => {
    expect(read({ run: 'a', seq: 7, tempC: 400, rhPct: -3 })).toEqual({
      ok: false,
      refusal: expect.objectContaining({ reason: 'out of range', problem: expect.stringContaining('tempC is 400') }),
      sequence: { run: 'a', number: 7, oldest: null },
    })
  })
})

describe('the battery', () => {
  test('of a lone reading is the logger’s own', () => {
    expect(messageOf({ tempC: 14, batteryV: 3 })).toMatchObject({
      told: { batteryV: 3 },
      readings: [{ values: { tempC: 14 } }],
    })
  })

  test('of one among many is that reading’s', () => {
    const { told, readings } = messageOf({ readings: [{ ageS: 0, batteryV: 3 }] })
    expect({ told, values: readings[0]?.values }).toEqual({ told: {}, values: { batteryV: 3 } })
  })
})

describe('the count of messages', () => {
  const counted = { run: 'a7', seq: 41, tempC: 14 }

  test('is read with its run and with what is still kept', () => {
    expect(messageOf({ ...counted, oldest: 38 }).sequence).toEqual({ run: 'a7', number: 41, oldest: 38 })
    expect(messageOf({ ...counted, seq: 4_294_967_295 }).sequence?.number).toBe(4_294_967_295)
    expect(messageOf({ tempC: 14 }).sequence).toBeNull()
    expect(messageOf({ run: 'a7', seq: 42 })).toMatchObject({ readings: [], sequence: { number: 42 } })
  })

  test.each([
    { seq: 0 },
    { seq: -1 },
    { seq: 1.5 },
    { seq: '41' },
    { seq: 4_294_967_296 },
    { seq: null },
    { run: undefined },
    { run: '' },
    { run: 'a b' },
    { run: 'é' },
    { run: 'x'.repeat(33) },
    { run: 7 },
    { oldest: 42 },
    { oldest: 0 },
    { seq: undefined },
    { seq: undefined, run: undefined, oldest: 3 },
  ])('with %j is refused, and no number counts', (fault) => {
    expect(read({ ...counted, ...fault })).toMatchObject({
      ok: false,
      refusal: { reason: 'malformed' },
      sequence: null,
    })
  })
})

describe('what cannot be understood', () => {
  test.each([
    ['invalid UTF-8', Buffer.from([0x7b, 0x22, 0xff, 0xfe, 0x22, 0x3a, 0x31, 0x7d])],
    ['half of a surrogate in UTF-8', Buffer.from([0x22, 0xed, 0xa0, 0x80, 0x22])],
    ['nothing', Buffer.alloc(0)],
    ['zeros', Buffer.alloc(1000)],
    ['an array 120,000 deep', Buffer.from('['.repeat(120_000) + ']'.repeat(120_000))],
    ['a value 100 deep', Buffer.from(`{"tempC":${'['.repeat(100)}${']'.repeat(100)}}`)],
    ['objects 20,000 deep', Buffer.from('{"a":'.repeat(20_000) + 1 + '}'.repeat(20_000))],
    ['no object', Buffer.from('null')],
    ['NaN', Buffer.from('{"tempC":NaN}')],
  ])('%s is malformed', (_, payload) => {
    const understood = readReadings(payload, NOW)
    expect(understood).toMatchObject({ ok: false, refusal: { reason: 'malformed' } })
  })

  test('is text that is no UTF-8, also where JSON could still be made of it', () => {
    const payload = Buffer.concat([Buffer.from('{"tempC":14,"firmware":"'), Buffer.from([0xff]), Buffer.from('"}')])
    expect(readReadings(payload, NOW)).toMatchObject({ refusal: { problem: 'The payload is not text in UTF-8.' } })
  })

  test('is nesting without end, and the place is told', () => {
    expect(refusalOf(`{"tempC":${'['.repeat(100)}${']'.repeat(100)}}`).problem).toBe(
      'The payload is nested more than 16 deep, from character 25 on.',
    )
  })

  test('is told with where and how to mend it', () => {
    expect(refusalOf('{"tempC":14,"rhPct":-nan}').fix).toContain('send null')
    expect(refusalOf('{"tempC":14,"rh').fix).toContain('buffer')
    expect(refusalOf({ readings: [{ ageS: 0, tempC: 14 }, 5] as unknown[], seq: 0, run: 'a' }).problem).toContain(
      'seq is 0',
    )
    expect(messageOf({ readings: [{ ageS: 0, tempC: 14 }, 5] }).refused).toEqual([
      { reason: 'malformed', problem: 'readings[1] is 5, expected an object.', fix: expect.stringContaining('tempC') },
    ])
  })

  test('is a field that stands twice, also when written with an escape', () => {
    expect(refusalOf('{"tempC":14,"temp\\u0043":15}').problem).toContain('tempC stands twice')
    expect(refusalOf('{"readings":[{"ageS":0,"tempC":14},{"ageS":1,"ageS":2,"tempC":14}]}').problem).toContain(
      'ageS stands twice',
    )
    // The same name in two objects, or as a text, is no fault.
    expect(messageOf('{"firmware":"firmware","readings":[{"ageS":0,"tempC":1},{"ageS":1,"tempC":1}]}').refused).toEqual(
      [],
    )
    expect(messageOf('{"firmware":"a\\"b:\\\\","tempC":1}').told.firmware).toBe('a"b:\\')
  })

  test('is more than 256 KiB, and 256 KiB is not', () => {
    const padded = (bytes: number) => Buffer.from(`{"tempC":14}${' '.repeat(bytes - 12)}`)
    expect(readReadings(padded(MOST_PAYLOAD_BYTES), NOW).ok).toBe(true)
    expect(readReadings(padded(MOST_PAYLOAD_BYTES + 1), NOW)).toMatchObject({
      ok: false,
      refusal: { reason: 'oversized', problem: expect.stringContaining('262145 bytes') },
    })
  })

  test('is more than 500 readings, and 500 are not', () => {
    const many = (count: number) => ({ readings: Array.from({ length: count }, (_, i) => ({ ageS: i, tempC: 14 })) })
    expect(messageOf(many(500)).readings.length).toBe(500)
    expect(refusalOf(many(501))).toMatchObject({ reason: 'oversized', problem: expect.stringContaining('501') })
  })

  test('is echoed short and printable', () => {
    const name = `a\u0000\u202e\ud800${'x'.repeat(1000)}`
    const { problem } = refusalOf({ [name]: 1 })
    expect(problem).toBe(`a\\u{0}\\u{202e}\\u{d800}${'x'.repeat(36)}… is not a field known here.`)
    expect(refusalOf({ tempC: 'y'.repeat(5000) }).problem.length).toBeLessThan(120)
  })

  test.each(['__proto__', 'constructor', 'toString', 'hasOwnProperty'])('is a field named %s', (name) => {
    expect(refusalOf(`{"tempC":14,"${name}":{"rhPct":50}}`).problem).toBe(`${name} is not a field known here.`)
  })
})

test.each([
  ['tempF', 'tempC'],
  ['temperature', 'tempC'],
  ['temp', 'tempC'],
  ['humidity', 'rhPct'],
  ['rh', 'rhPct'],
  ['RH', 'rhPct'],
  ['hum', 'rhPct'],
  ['battery', 'batteryV'],
  ['moisture', 'woodMcPct'],
  ['rain', 'rainMm'],
  ['timestamp', 'atS'],
])('a field named %s is no unit of ours: it says %s', (name, right) => {
  expect(refusalOf({ tempC: 14, [name]: 60 })).toMatchObject({
    reason: 'wrong unit',
    fix: expect.stringContaining(right),
  })
})

test('a reading with a field that is not known is refused whole: its probe or its time may be misspelled', () => {
  const { readings, refused } = messageOf({
    readings: [
      { prob: 'joist', ageS: 0, tempC: 9 },
      { ageS: 0, tempC: 14 },
    ],
  })
  expect(readings.map(({ values }) => values.tempC)).toEqual([14])
  expect(refused).toEqual([
    expect.objectContaining({ reason: 'malformed', problem: expect.stringContaining('readings[0].prob') }),
  ])
})

test('what belongs to the message is not looked for in a reading, nor the other way round', () => {
  expect(
    messageOf({
      readings: [
        { ageS: 0, tempC: 14 },
        { ageS: 0, tempC: 14, seq: 3 },
      ],
    }).refused[0]?.fix,
  ).toContain('beside readings')
  expect(refusalOf({ probe: 'joist', readings: [{ ageS: 0, tempC: 14 }] }).fix).toContain('each of the readings')
})
