/**
 * Ten thousand random and mutated payloads and topics, the same ones every time. Nothing throws; what is understood could
 * have been measured; what is refused says what is wrong and how to mend it.
 */
import { expect, test } from 'vitest'
import { EARLIEST_AT } from '../../../server/ingest/checkReadings.ts'
import type { MessageReading, MessageRefusal, Understood } from '../../../server/ingest/mqtt/message.ts'
import { readReadings } from '../../../server/ingest/mqtt/readingsPayload.ts'
import { readSenml } from '../../../server/ingest/mqtt/senmlPayload.ts'
import { readStatus } from '../../../server/ingest/mqtt/statusPayload.ts'
import { TOPIC_KINDS, topicFor, topicOf } from '../../../server/ingest/mqtt/topics.ts'
import { QUANTITIES, QUANTITY_NAMES, type Quantity } from '../../../server/series/quantities.ts'
import { seeded } from '../../support/seeded.ts'

const COUNT = 10_000
const NOW = Date.UTC(2026, 4, 18, 14, 30)
const DAY_MS = 86_400_000

const SEEDS = [
  '{"run":"a7","seq":41,"oldest":40,"probe":"air","at":"2026-05-18T14:00:00Z","tempC":20.31,"rhPct":81.2,"batteryV":2.98}',
  '{"readings":[{"ageS":600,"tempC":20.3,"rhPct":80},{"probe":"joist","atS":1779114600,"woodMcPct":16.5}],"seq":2,"run":"b"}',
  '{"readings":[{"ageS":0,"waterPresent":true,"rainMm":0.2}],"signalDbm":-71,"firmware":"1.4","clockS":1779114598}',
  '[{"bn":"urn:dev:mac:0024befffe804ff1:","bt":1779114600,"n":"tempC","u":"Cel","v":21.5},{"n":"rhPct","u":"%RH","v":77}]',
  '[{"n":"joist:woodMcPct","u":"/100","t":-900,"v":16.5},{"n":"floor:waterPresent","vb":true},{"n":"seq","v":4},{"n":"run","vs":"b"}]',
  '[{"n":"tempC","u":"Cel","v":14},{"n":"tempC","u":"Cel","v":14}]',
  '{"online":true,"firmware":"1.2","batteryV":3.01}',
]
const EVIL = [
  'null',
  'true',
  '-1',
  '-0',
  '1e999',
  '-1e999',
  '1e-320',
  '1e21',
  '9007199254740993',
  '"\\ud800"',
  '"\\u0000\\u202e"',
  '"NaN"',
  'NaN',
  '""',
  '[]',
  '{}',
  '[[[[]]]]',
  '{"__proto__":{"tempC":1}}',
  '"2026-02-30T00:00:00Z"',
  '"+275760-09-13T00:00:00Z"',
  '1779114600000',
  '268435455',
  '268435456',
]
const NAMES = [
  ...QUANTITY_NAMES,
  ...['probe', 'at', 'atS', 'ageS', 'readings', 'seq', 'run', 'oldest', 'batteryV', 'signalDbm', 'firmware', 'clockS'],
  ...['bn', 'bt', 'bu', 'bv', 'bs', 'bver', 'n', 'u', 'v', 'vs', 'vb', 'vd', 's', 't', 'ut', 'x_', 'online'],
  ...['tempF', 'humidity', '__proto__', 'constructor', 'toString', ''],
]

const next = seeded(20_260_518)
const below = (end: number) => Math.floor(next() * end)
const pick = <T>(list: readonly T[]): T => list[below(list.length)]!

/** Numbers at and around the ends of every range, and of every size. */
function someNumber(): string {
  const { min, max } = QUANTITIES[pick(QUANTITY_NAMES)]
  const near = pick([min, max]) + pick([-0.01, 0, 0.01])
  return pick([String(near), String(below(200) / 4), String((next() - 0.5) * 10 ** below(40)), pick(EVIL)])
}

function someValue(depth: number): string {
  if (depth > 0 && next() < 0.3) return next() < 0.5 ? someObject(depth - 1) : `[${someObject(depth - 1)}]`
  return next() < 0.7 ? someNumber() : pick(EVIL)
}

function someObject(depth: number): string {
  const fields = Array.from({ length: 1 + below(6) }, () => `${JSON.stringify(pick(NAMES))}:${someValue(depth)}`)
  return `{${fields.join(',')}}`
}

function somePayload(): Uint8Array {
  const text = pick(SEEDS)
  const bytes = Buffer.from(text)
  switch (below(9)) {
    case 0:
      return bytes
    case 1: // bytes of chance in it
      for (let i = 0; i <= below(4); i++) bytes[below(bytes.length)] = below(256)
      return bytes
    case 2:
      return bytes.subarray(0, below(bytes.length))
    case 3: // another value in the place of one
      return Buffer.from(replacedOne(text, /(?<=:)(?:"[^"]*"|[-\d.]+|true)/g, someValue(1)))
    case 4: // another name in the place of one
      return Buffer.from(replacedOne(text, /"[A-Za-z]+"(?=:)/g, JSON.stringify(pick(NAMES))))
    case 5: // two that were cut and joined
      return Buffer.concat([bytes.subarray(0, below(bytes.length)), Buffer.from(pick(SEEDS)).subarray(below(60))])
    case 6:
      return Buffer.from(someObject(3))
    case 7:
      return Buffer.from(`[${Array.from({ length: below(5) }, () => someObject(1)).join(',')}]`)
    default:
      return Uint8Array.from({ length: below(80) }, () => below(256))
  }
}

function replacedOne(text: string, what: RegExp, by: string): string {
  const found = [...text.matchAll(what)]
  const { index, 0: old } = pick(found)
  return text.slice(0, index) + by + text.slice(index + old.length)
}

const UNSEEN = /[\u0000-\u001f\u007f-\u009f\u202a-\u202e\ud800-\udfff]/u

function isHelpful({ reason, problem, fix }: MessageRefusal): boolean {
  const texts = [reason, problem, fix]
  return texts.every((text) => text.trim() !== '' && text.length < 600 && !UNSEEN.test(text))
}

function couldBeMeasured({ at, probe, values }: MessageReading): boolean {
  const entries = Object.entries(values) as [Quantity, number][]
  return (
    Number.isInteger(at) &&
    at >= EARLIEST_AT &&
    at <= NOW + DAY_MS &&
    probe !== '' &&
    entries.length > 0 &&
    entries.every(([quantity, value]) => value >= QUANTITIES[quantity].min && value <= QUANTITIES[quantity].max)
  )
}

function isRight(understood: Understood): boolean {
  if (!understood.ok) return isHelpful(understood.refusal)
  const { readings, refused, sequence } = understood.message
  const counts = sequence === null || (sequence.number >= (sequence.oldest ?? 1) && sequence.run !== '')
  return counts && readings.every(couldBeMeasured) && refused.every(isHelpful)
}

test('both readers answer every payload', () => {
  const outcomes = { all: 0, partly: 0, refused: 0 }
  const reasons = new Set<string>()
  const wrong: unknown[] = []
  for (let i = 0; i < COUNT; i++) {
    const payload = somePayload()
    for (const read of [readReadings, readSenml]) {
      const understood = read(payload, NOW)
      if (!isRight(understood)) wrong.push({ payload: Buffer.from(payload).toString('latin1'), understood })
      const refused = understood.ok ? understood.message.refused : [understood.refusal]
      for (const { reason } of refused) reasons.add(reason)
      outcomes[!understood.ok ? 'refused' : refused.length > 0 ? 'partly' : 'all']++
    }
    const status = readStatus(payload)
    if (!status.ok && !isHelpful(status.refusal)) wrong.push({ payload, status })
  }
  expect(wrong).toEqual([])
  expect(outcomes.all + outcomes.partly + outcomes.refused).toBe(2 * COUNT)
  // A generator that only ever made nonsense, or only good payloads, would prove nothing.
  expect(outcomes.all).toBeGreaterThan(COUNT / 10)
  expect(outcomes.partly).toBeGreaterThan(COUNT / 100)
  expect(outcomes.refused).toBeGreaterThan(COUNT / 2)
  expect([...reasons].sort()).toEqual([
    'ancient',
    'differs',
    'future',
    'malformed',
    'out of range',
    'without a time',
    'wrong unit',
  ])
})

test('every topic is ours, in full, or none', () => {
  const parts = [
    'underjoist',
    'Underjoist',
    '',
    '+',
    '#',
    '..',
    '$SYS',
    'a',
    'crawl-04',
    'A',
    'a b',
    '\0',
    '\ud800',
    'é',
    ...TOPIC_KINDS,
  ]
  let ours = 0
  for (let i = 0; i < COUNT; i++) {
    const topic =
      next() < 0.5
        ? ['underjoist', pick(parts), pick(parts)].slice(0, 1 + below(3)).join('/')
        : Array.from({ length: below(6) }, () => pick(parts)).join(pick(['/', '//', '']))
    const place = topicOf(topic)
    if (place === null) continue
    ours++
    expect(topicFor(place.logger, place.what)).toBe(topic)
    expect(place.logger).toMatch(/^[a-z0-9][a-z0-9._-]*$/)
  }
  expect(ours).toBeGreaterThan(COUNT / 100)
  expect(ours).toBeLessThan(COUNT / 2)
})
