import { gzipSync } from 'node:zlib'
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { findEncoding } from '../../../server/ingest/csv/encoding.ts'
import { lookAtFile } from '../../../server/ingest/csv/look.ts'
import { numberAt, stoppedAt } from '../../../server/ingest/csv/numbers.ts'
import { CONTEXT, readAll, readText, sourceOf, understood } from './support/source.ts'

const TEXT =
  'time;Temp (°C);Feuchte (%)\r\n2024-05-13 01:00;20,5;55,1\r\n2024-05-13 02:00;20,6;55,2\r\n2024-05-13 03:00;-1,25;99\r\n'
const utf16 = (text: string, bigEndian: boolean, mark: boolean) => {
  const bytes = Buffer.from((mark ? '\ufeff' : '') + text, 'utf16le')
  return bigEndian ? bytes.swap16() : bytes
}

const ENCODED: [string, Buffer][] = [
  ['UTF-8', Buffer.from(TEXT)],
  ['UTF-8 with mark', Buffer.from(`\ufeff${TEXT}`)],
  ['UTF-16 LE with mark', utf16(TEXT, false, true)],
  ['UTF-16 BE with mark', utf16(TEXT, true, true)],
  ['UTF-16 LE without mark', utf16(TEXT, false, false)],
  ['UTF-16 BE without mark', utf16(TEXT, true, false)],
  ['Windows-1252', Buffer.from(TEXT, 'latin1')],
  ['gzip', gzipSync(TEXT)],
  ['gzip of UTF-16', gzipSync(utf16(TEXT, false, true))],
  ['line ends of old machines', Buffer.from(TEXT.replaceAll('\r\n', '\r'))],
  ['no line end at the end', Buffer.from(TEXT.trimEnd())],
]

test.each(ENCODED)('%s gives the same readings, however the bytes are cut', async (_, bytes) => {
  for (const pieceBytes of [1, 7, 65_536]) {
    const source = sourceOf(bytes, 'x.csv', pieceBytes)
    const look = await understood(source)
    const { probes } = await readAll(source, look.understanding)
    expect(probes.get('probe')!.map((row) => row.values)).toEqual([
      { tempC: 20.5, rhPct: 55.1 },
      { tempC: 20.6, rhPct: 55.2 },
      { tempC: -1.25, rhPct: 99 },
    ])
  }
})

test('letters outside ASCII decide between UTF-8 and Windows-1252', () => {
  expect(findEncoding(Buffer.from('Temp °C')).encoding).toBe('utf-8')
  expect(findEncoding(Buffer.from('Temp °C', 'latin1')).encoding).toBe('windows-1252')
})

test('numbers from bytes are the numbers that are written', () => {
  fc.assert(
    fc.property(
      fc.double({ noNaN: true, noDefaultInfinity: true, min: -1e9, max: 1e9 }),
      fc.integer({ min: 0, max: 12 }),
      (value, places) => {
        const text = value.toFixed(places)
        const bytes = Buffer.from(text.replace('.', ','))
        const read = numberAt(bytes, 0, bytes.length, 44)
        expect(stoppedAt).toBe(bytes.length)
        expect(Math.abs(read - Number(text))).toBeLessThanOrEqual(Math.abs(Number(text)) * 1e-13)
      },
    ),
    { seed: 7 },
  )
})

test.each([
  ['1.5e-3', 0.0015, 6],
  ['-.5', -0.5, 3],
  ['+7', 7, 2],
  ['12E', 12, 2],
  ['19.890000000000001', 19.89, 18],
  ['21.5 C', 21.5, 4],
])('number %s', (text, value, stop) => {
  const bytes = Buffer.from(text)
  expect(numberAt(bytes, 0, bytes.length, 46)).toBeCloseTo(value, 12)
  expect(stoppedAt).toBe(stop)
})

test.each(['', '-', '.', 'x', '--5'])('"%s" is no number', (text) => {
  expect(numberAt(Buffer.from(text), 0, text.length, 46)).toBeNaN()
})

const MANY = `time,temp (C)\n${Array.from({ length: 20_000 }, (_, i) => `${new Date(Date.UTC(2024, 0, 1) + i * 60_000).toISOString()},${((i * 7919) % 300) / 10}`).join('\n')}\n`

test('a zip that breaks off is refused by the look; reading keeps what came before and says so', async () => {
  const whole = gzipSync(MANY)
  const cut = whole.subarray(0, whole.length - 2000)
  expect(await lookAtFile(sourceOf(cut), CONTEXT)).toMatchObject({ ok: false, refusal: { code: 'TRUNCATED_GZIP' } })
  const { understanding } = await understood(sourceOf(whole))
  const { probes, summary } = await readAll(sourceOf(cut), understanding)
  expect(summary.brokeOff?.code).toBe('TRUNCATED_GZIP')
  const kept = probes.get('probe')!.length
  expect(kept).toBeGreaterThan(10_000)
  expect(kept).toBeLessThan(20_000)
})

const REFUSED: [string, string | Uint8Array, string, object?][] = [
  ['no bytes', '', 'EMPTY'],
  ['only blanks', ' \n \n', 'EMPTY'],
  ['a picture', Buffer.from([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10, 0, 0, 0, 13, 1, 2, 3]), 'BINARY'],
  ['too many bytes', MANY, 'TOO_LARGE', { maxBytes: 10_000 }],
  ['too many bytes unzipped', gzipSync(MANY), 'UNZIPS_TOO_LARGE', { maxUnzippedBytes: 100_000 }],
  ['a bomb', gzipSync(`time,temp (C)\n${'2024-05-13 01:00,1\n'.repeat(3_000_000)}`), 'UNZIPS_TOO_LARGE'],
  ['damaged zip', Buffer.from([0x1f, 0x8b, 8, 0, 1, 2, 3, 4, 5, 6, 255, 255, 255, 255, 1, 2]), 'BAD_GZIP'],
  ['prose', 'Dear Sir,\nplease find enclosed\nnothing at all.\n', 'NO_ROWS'],
  ['no time', 'a,temp,rh\n1,20.5,55\n2,20.6,56\n3,20.7,57\n', 'NO_TIME'],
  ['only words beside the time', 'time,remark,n\n2024-05-01 01:00,fine,\n2024-05-01 02:00,good,\n', 'NO_ROWS'],
  ['an unknown zone', TEXT, 'BAD_ANSWER', { answers: { timeZone: 'Mars/Base' } }],
  ['an unknown unit', TEXT, 'BAD_ANSWER', { answers: { columnUnits: { x: 'furlong' } } }],
]

test.each(REFUSED)('%s: refused with a sentence', async (_, bytes, code, context) => {
  const look = await lookAtFile(sourceOf(bytes), { ...CONTEXT, ...context })
  expect(look).toMatchObject({ ok: false, refusal: { code } })
  if (!look.ok) expect(`${look.refusal.message} ${look.refusal.hint}`).toMatch(/^[A-Z"a-z].*\. .*\.$/s)
})

test('reading stops at the signal', async () => {
  const source = sourceOf(MANY, 'x.csv', 1000)
  const { understanding } = await understood(source)
  const stop = new AbortController()
  const reading = readAll(source, understanding, {
    signal: stop.signal,
    onProgress: (bytes) => bytes > 5000 && stop.abort(),
  })
  await expect(reading).rejects.toThrow(/abort/i)
})

test('nothing is read ahead of what the receiver takes', async () => {
  let given = 0
  const bytes = Buffer.from(MANY)
  const source = {
    name: 'x.csv',
    async *open() {
      for (let from = 0; from < bytes.length; from += 10_000) {
        given = from
        yield bytes.subarray(from, from + 10_000)
      }
    },
  }
  const { understanding } = await understood(source)
  const { readRows } = await import('../../../server/ingest/csv/rows.ts')
  const batches = readRows(source, understanding)
  await batches.next()
  expect(given).toBeLessThan(100_000)
  await batches.return({} as never)
})

test('quotes, padding inside quotes and doubled quotes', async () => {
  const { probes } = await readText(
    '"time","Temp (C)","note"\r\n"2024-05-13 01:00"," 20.50 ","a ""b"", c"\r\n"2024-05-13 02:00","21.00",""\r\n',
  )
  expect(probes.get('probe')!.map((row) => row.values.tempC)).toEqual([20.5, 21])
})
