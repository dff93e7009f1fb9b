import { expect, test } from 'vitest'
import { readStatus } from '../../../server/ingest/mqtt/statusPayload.ts'

const read = (text: string) => readStatus(Buffer.from(text))

test('a logger says that it is there, and its last will that it is gone', () => {
  expect(read('{"online":true}')).toEqual({ ok: true, online: true, told: {} })
  expect(read('{"online":false}')).toEqual({ ok: true, online: false, told: {} })
})

test('it may tell of itself', () => {
  expect(read('{"online":true,"batteryV":2.98,"signalDbm":-71,"firmware":"1.4.0"}')).toEqual({
    ok: true,
    online: true,
    told: { batteryV: 2.98, signalDbm: -71, firmware: '1.4.0' },
  })
})

test('a clock in it is left alone: the broker keeps a status, and it would seem to have stopped', () => {
  expect(read('{"online":true,"clockS":1779114600}')).toEqual({ ok: true, online: true, told: {} })
})

test('its texts are made printable', () => {
  expect(read('{"online":true,"firmware":"1\\u0007\\u202e2"}')).toMatchObject({
    told: { firmware: '1\\u{7}\\u{202e}2' },
  })
})

test.each([
  ['', 'malformed'],
  ['online', 'malformed'],
  ['true', 'malformed'],
  ['[]', 'malformed'],
  ['{}', 'malformed'],
  ['{"online":1}', 'malformed'],
  ['{"online":"true"}', 'malformed'],
  ['{"online":true,"online":false}', 'malformed'],
  ['{"online":true,"state":"on"}', 'malformed'],
  ['{"online":true,"firmware":""}', 'malformed'],
  ['{"online":true,"battery":2.98}', 'wrong unit'],
  ['{"online":true,"rssi":-70}', 'wrong unit'],
  ['{"online":true,"batteryV":2980}', 'out of range'],
  [`{"online":true${' '.repeat(300_000)}}`, 'oversized'],
])('%j is refused as %s', (text, reason) => {
  expect(read(text)).toMatchObject({
    ok: false,
    refusal: { reason, problem: expect.any(String), fix: expect.any(String) },
  })
})
