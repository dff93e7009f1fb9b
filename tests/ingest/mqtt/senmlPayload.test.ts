/** Expected values are those of RFC 8428 itself, sections 5.1.1 to 5.1.7, opened in its published text. */
import { describe, expect, test } from 'vitest'
import type { Json } from '../../../server/ingest/mqtt/json.ts'
import { readSenml } from '../../../server/ingest/mqtt/senmlPayload.ts'
import { resolveSenml } from '../../../server/ingest/mqtt/senmlRecords.ts'

const NOW = Date.UTC(2026, 4, 18, 14, 30)

const understand = (pack: unknown, arrivedAt = NOW) => readSenml(Buffer.from(JSON.stringify(pack)), arrivedAt)

function messageOf(pack: unknown, arrivedAt = NOW) {
  const understood = understand(pack, arrivedAt)
  if (!understood.ok) throw new Error(understood.refusal.problem)
  return understood.message
}

function refusalOf(pack: unknown) {
  const understood = understand(pack)
  if (understood.ok) throw new Error('It was understood.')
  return understood.refusal
}

function resolved(pack: Json[]) {
  const answer = resolveSenml(pack)
  if (!answer.ok) throw new Error(answer.refusal.problem)
  return answer.records.map(({ name, unit, timeS, value }) => ({ n: name, u: unit, t: timeS, v: value }))
}

describe('records of RFC 8428', () => {
  const DEVICE = 'urn:dev:ow:10e2073a01080063'

  test('5.1.1: a single point, of now', () => {
    expect(resolved([{ n: DEVICE, u: 'Cel', v: 23.1 }])).toEqual([{ n: DEVICE, u: 'Cel', t: 0, v: 23.1 }])
  })

  test('5.1.2: a base name, a base time, a base unit that one record overrides, an older version', () => {
    const pack: Json[] = [
      { bn: 'urn:dev:ow:10e2073a0108006:', bt: 1.276020076001e9, bu: 'A', bver: 5, n: 'voltage', u: 'V', v: 120.1 },
      { n: 'current', t: -5, v: 1.2 },
      { n: 'current', t: -4, v: 1.3 },
      { n: 'current', t: -3, v: 1.4 },
      { n: 'current', t: -2, v: 1.5 },
      { n: 'current', t: -1, v: 1.6 },
      { n: 'current', v: 1.7 },
    ]
    const records = resolved(pack)
    expect(records[0]).toEqual({ n: 'urn:dev:ow:10e2073a0108006:voltage', u: 'V', t: 1276020076.001, v: 120.1 })
    expect(records[1]).toEqual({ n: 'urn:dev:ow:10e2073a0108006:current', u: 'A', t: 1276020071.001, v: 1.2 })
    // "current at Tue Jun 8 18:01:16.001 UTC 2010 and at each second for the previous 5 seconds"
    expect(records.slice(1).map(({ t }) => Math.round(t * 1000))).toEqual(
      [-5, -4, -3, -2, -1, 0].map((second) => Date.UTC(2010, 5, 8, 18, 1, 16, 1) + second * 1000),
    )
    expect(records.slice(1).map(({ v }) => v)).toEqual([1.2, 1.3, 1.4, 1.5, 1.6, 1.7])
  })

  test('5.1.3 resolves to 5.1.4', () => {
    const pack: Json[] = [
      { bn: DEVICE, bt: 1.320067464e9, bu: '%RH', v: 20 },
      { u: 'lon', v: 24.30621 },
      { u: 'lat', v: 60.07965 },
      { t: 60, v: 20.3 },
      { u: 'lon', t: 60, v: 24.30622 },
      { u: 'lat', t: 60, v: 60.07965 },
      { t: 120, v: 20.7 },
      { u: 'lon', t: 120, v: 24.30623 },
      { u: 'lat', t: 120, v: 60.07966 },
      { u: '%EL', t: 150, v: 98 },
      { t: 180, v: 21.2 },
      { u: 'lon', t: 180, v: 24.30628 },
      { u: 'lat', t: 180, v: 60.07967 },
    ]
    expect(resolved(pack)).toEqual([
      { n: DEVICE, u: '%RH', t: 1.320067464e9, v: 20 },
      { n: DEVICE, u: 'lon', t: 1.320067464e9, v: 24.30621 },
      { n: DEVICE, u: 'lat', t: 1.320067464e9, v: 60.07965 },
      { n: DEVICE, u: '%RH', t: 1.320067524e9, v: 20.3 },
      { n: DEVICE, u: 'lon', t: 1.320067524e9, v: 24.30622 },
      { n: DEVICE, u: 'lat', t: 1.320067524e9, v: 60.07965 },
      { n: DEVICE, u: '%RH', t: 1.320067584e9, v: 20.7 },
      { n: DEVICE, u: 'lon', t: 1.320067584e9, v: 24.30623 },
      { n: DEVICE, u: 'lat', t: 1.320067584e9, v: 60.07966 },
      { n: DEVICE, u: '%EL', t: 1.320067614e9, v: 98 },
      { n: DEVICE, u: '%RH', t: 1.320067644e9, v: 21.2 },
      { n: DEVICE, u: 'lon', t: 1.320067644e9, v: 24.30628 },
      { n: DEVICE, u: 'lat', t: 1.320067644e9, v: 60.07967 },
    ])
  })

  test('5.1.5: numbers, texts, booleans and data', () => {
    const pack: Json[] = [
      { bn: `${DEVICE}:`, n: 'temp', u: 'Cel', v: 23.1 },
      { n: 'label', vs: 'Machine Room' },
      { n: 'open', vb: false },
      { n: 'nfv-reader', vd: 'aGkgCg' },
    ]
    const answer = resolveSenml(pack)
    if (!answer.ok) throw new Error(answer.refusal.problem)
    expect(answer.records.map(({ form, value }) => [form, value])).toEqual([
      ['v', 23.1],
      ['vs', 'Machine Room'],
      ['vb', false],
      ['vd', 'aGkgCg'],
    ])
  })

  test('5.1.6: the last record has the base name of the third and the base time of the first', () => {
    const pack: Json[] = [
      { bn: '2001:db8::2/', bt: 1.320078429e9, n: 'temperature', u: 'Cel', v: 25.2 },
      { n: 'humidity', u: '%RH', v: 30 },
      { bn: '2001:db8::1/', n: 'temperature', u: 'Cel', v: 12.3 },
      { n: 'humidity', u: '%RH', v: 67 },
    ]
    expect(resolved(pack).at(-1)).toEqual({ n: '2001:db8::1/humidity', u: '%RH', t: 1.320078429e9, v: 67 })
  })

  test('5.1.7: a record of base fields alone gives none', () => {
    const pack: Json[] = [{ bn: `${DEVICE}:` }, { n: 'temp', u: 'Cel', v: 23.1 }, { n: 'heat', u: '/', v: 1 }]
    expect(resolved(pack).map(({ n }) => n)).toEqual([`${DEVICE}:temp`, `${DEVICE}:heat`])
  })

  test('4.5.4: a base value is added to every value after it', () => {
    expect(
      resolved([
        { bv: 20, n: 'a', v: 0.5 },
        { n: 'a', v: 1 },
        { bv: 0, n: 'a', v: 2 },
      ]).map(({ v }) => v),
    ).toEqual([20.5, 21, 2])
  })

  test.each([
    ['4.4: a field that must be understood', [{ n: 'a', v: 1, vx_: 2 }]],
    ['4.4: a newer version', [{ bver: 11, n: 'a', v: 1 }]],
    [
      '4.4: two versions',
      [
        { bver: 5, n: 'a', v: 1 },
        { bver: 6, n: 'a', v: 1 },
      ],
    ],
    ['4.4: a version that is none', [{ bver: 0, n: 'a', v: 1 }]],
    ['4.2: no value', [{ n: 'a', u: 'Cel' }]],
    ['4.2: two values', [{ n: 'a', v: 1, vs: '1' }]],
    ['4.5.1: a name that begins with a dot', [{ n: '.a', v: 1 }]],
    ['4.5.1: a name with a space', [{ n: 'a b', v: 1 }]],
    ['4.5.1: no name', [{ v: 1 }]],
    ['5: a number as a text', [{ n: 'a', v: '1' }]],
    ['5: a name as a number', [{ n: 5, v: 1 }]],
    ['5: a boolean as a number', [{ n: 'a', vb: 1 }]],
    ['5: a base time as a text', [{ bt: 'now', n: 'a', v: 1 }]],
    ['5: a record that is none', [null]],
    ['5: a record in a list', [[{ n: 'a', v: 1 }]]],
  ] as [string, Json[]][])('%s is refused', (_, pack) => {
    expect(resolveSenml(pack)).toMatchObject({ ok: false, refusal: { reason: 'malformed' } })
  })
})

describe('what the names of records mean here', () => {
  const placeOf = (bn: string | undefined, n: string) => {
    const { readings } = messageOf([{ ...(bn !== undefined && { bn }), n, u: 'Cel', v: 14 }])
    return readings.map(({ probe, values }) => [probe, Object.keys(values)[0]])[0]
  }

  test.each([
    [undefined, 'tempC', 'air'],
    [undefined, 'joist:tempC', 'joist'],
    [undefined, 'joist/tempC', 'joist'],
    ['joist:', 'tempC', 'joist'],
    ['urn:dev:mac:0024befffe804ff1:', 'tempC', 'air'],
    ['urn:dev:mac:0024befffe804ff1/', 'tempC', 'air'],
    ['urn:dev:mac:0024befffe804ff1:', 'joist:tempC', 'joist'],
    ['urn:dev:mac:0024befffe804ff1:joist:', 'tempC', 'joist'],
    [undefined, 'urn:dev:ow:10e2073a01080063:joist:tempC', 'joist'],
    [undefined, 'urn:dev:ow:10e2073a01080063/joist/tempC', 'joist'],
    [undefined, 'urn:dev:org:32473-foo_1:tempC', 'air'],
  ])('however it is split: %j and %j', (bn, n, probe) => {
    expect(placeOf(bn, n)).toEqual([probe, 'tempC'])
  })

  test.each([
    'urn:dev:ow:10e2073a01080063',
    'urn:uuid:f81d4fae-7dec-11d0-a765-00a0c91e6bf6:tempC',
    '2001:db8::2/tempC',
    'house/joist/tempC',
    'a:b:tempC',
    'tempC:',
    'tempC/',
  ])('%s is no probe of a logger, and nothing is guessed', (n) => {
    expect(refusalOf([{ n, u: 'Cel', v: 14 }])).toMatchObject({ reason: 'malformed', fix: expect.any(String) })
  })

  test.each(['temperature', 'temp', 'humidity', 'voltage', 'battery'])('%s names the right one', (n) => {
    expect(refusalOf([{ n, u: 'Cel', v: 14 }])).toMatchObject({
      reason: 'wrong unit',
      fix: expect.stringMatching(/^Send \w+,/),
    })
  })

  test('the example of 5.1.5 is refused by name, record for record', () => {
    expect(
      refusalOf([
        { n: 'temp', u: 'Cel', v: 23.1 },
        { n: 'label', vs: 'Machine Room' },
      ]).fix,
    ).toContain('tempC')
  })
})

test('units are those of the quantities, and no other is converted', () => {
  const units = {
    tempC: 'Cel',
    rhPct: '%RH',
    woodMcPct: '/100',
    surfaceTempC: 'Cel',
    rainMm: 'mm',
    powerW: 'W',
    condensateL: 'l',
  }
  const pack = Object.entries(units).map(([n, u]) => ({ n, u, v: 12 }))
  expect(messageOf(pack).readings).toEqual([
    {
      probe: 'air',
      at: NOW,
      byArrival: true,
      values: Object.fromEntries(Object.keys(units).map((name) => [name, 12])),
    },
  ])
  for (const one of pack) {
    expect(refusalOf([{ ...one, u: 'K' }]), one.n).toMatchObject({
      reason: 'wrong unit',
      fix: expect.stringContaining(one.u),
    })
    expect(refusalOf([{ n: one.n, v: 12 }]).problem, one.n).toContain('no unit')
  }
})

test('a water contact says true or false, 1 or 0', () => {
  const wet = (value: object) => messageOf([{ n: 'waterPresent', ...value }]).readings[0]?.values.waterPresent
  expect([wet({ vb: true }), wet({ vb: false }), wet({ v: 1 }), wet({ u: '/', v: 0 })]).toEqual([1, 0, 1, 0])
  expect(refusalOf([{ n: 'waterPresent', v: 0.4 }]).reason).toBe('out of range')
  expect(refusalOf([{ n: 'waterPresent', vs: 'wet' }]).reason).toBe('malformed')
})

test('below 2^28 a time is seconds from now, from there on seconds since 1970 (4.5.3)', () => {
  const at = (t: number, bt = 0) => messageOf([{ bt, n: 'tempC', u: 'Cel', t, v: 14 }]).readings[0]
  expect(at(-900)).toMatchObject({ at: NOW - 900_000, byArrival: true })
  expect(at(30)).toMatchObject({ at: NOW + 30_000, byArrival: true })
  expect(at(-60, NOW / 1000)).toMatchObject({ at: NOW - 60_000, byArrival: false })
  // "the smallest absolute Time value … is 1978-07-04 21:24:16 UTC"
  expect(refusalOf([{ n: 'tempC', u: 'Cel', t: 2 ** 28, v: 14 }])).toMatchObject({
    reason: 'ancient',
    problem: expect.stringContaining('1978-07-04T21:24:16'),
  })
  expect(refusalOf([{ n: 'tempC', u: 'Cel', t: 2 ** 28 - 1, v: 14 }]).reason).toBe('future')
})

test('values of one probe and instant are one reading; of another instant another', () => {
  const { readings } = messageOf([
    { bt: NOW / 1000, n: 'tempC', u: 'Cel', v: 14 },
    { n: 'rhPct', u: '%RH', v: 80 },
    { n: 'joist:tempC', u: 'Cel', v: 13 },
    { n: 'tempC', u: 'Cel', t: -60, v: 15 },
  ])
  expect(readings.map(({ probe, at, values }) => [probe, at, values])).toEqual([
    ['air', NOW, { tempC: 14, rhPct: 80 }],
    ['joist', NOW, { tempC: 13 }],
    ['air', NOW - 60_000, { tempC: 15 }],
  ])
})

test('the same value twice is once, another one differs', () => {
  const twice = (v: number) =>
    messageOf([
      { n: 'tempC', u: 'Cel', v: 14 },
      { n: 'tempC', u: 'Cel', v },
    ])
  expect(twice(14).refused).toEqual([])
  expect(twice(15)).toMatchObject({ readings: [{ values: { tempC: 14 } }], refused: [{ reason: 'differs' }] })
})

test('the count of messages travels in records of our own names', () => {
  const count = [
    { n: 'run', vs: 'a7' },
    { n: 'seq', v: 41 },
    { n: 'oldest', v: 40 },
  ]
  expect(messageOf([...count, { n: 'tempC', u: 'Cel', v: 14 }]).sequence).toEqual({ run: 'a7', number: 41, oldest: 40 })
  expect(understand([...count, { n: 'tempC', u: 'K', v: 287 }])).toMatchObject({
    ok: false,
    refusal: { reason: 'wrong unit' },
    sequence: { run: 'a7', number: 41 },
  })
  expect(
    refusalOf([
      { n: 'seq', v: 41 },
      { n: 'tempC', u: 'Cel', v: 14 },
    ]).problem,
  ).toContain('without run')
  expect(
    refusalOf([
      { n: 'seq', vs: '41' },
      { n: 'run', vs: 'a' },
    ]).problem,
  ).toContain('seq is "41"')
  expect(understand([...count, { n: 'run', vs: 'b' }])).toMatchObject({
    ok: false,
    refusal: { problem: 'record 3 tells run again.' },
    sequence: null,
  })
})

test('more than 500 readings are too many', () => {
  const pack = (count: number) => Array.from({ length: count }, (_, i) => ({ n: 'tempC', u: 'Cel', t: -i, v: 14 }))
  expect(messageOf(pack(500)).readings.length).toBe(500)
  expect(refusalOf(pack(501)).reason).toBe('oversized')
  expect(refusalOf(pack(5000)).reason).toBe('oversized')
})

test('sums beyond what a number holds are no values', () => {
  expect(refusalOf([{ bv: 1e308, n: 'tempC', u: 'Cel', v: 1e308 }]).reason).toBe('out of range')
  expect(refusalOf([{ bt: -1e308, n: 'tempC', u: 'Cel', t: -1e308, v: 14 }]).reason).toBe('ancient')
  expect(readSenml(Buffer.from('[{"n":"tempC","u":"Cel","v":1e999}]'), NOW)).toMatchObject({
    refusal: { reason: 'malformed' },
  })
})
