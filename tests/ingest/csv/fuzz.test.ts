// Ten thousand random and damaged files: no crash, no hang, and no reading that does not stand in the file.

import { readFileSync } from 'node:fs'
import { gunzipSync } from 'node:zlib'
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { lookAtFile } from '../../../server/ingest/csv/look.ts'
import { CONTEXT, readAll, realFile, sourceOf } from './support/source.ts'

const SEED = 20_240_513
const CORPUS_BYTES = 1200

/** The first lines of real files of every layout, and a few written here. */
const corpus: Buffer[] = [
  ...[
    'data/messy/air-semicolon-decimal-comma.csv',
    'data/messy/derived-utf16-tab-12h-fahrenheit-dst-autumn.txt',
    'data/messy/derived-quoted-12h-us-date-dst-spring.csv',
    'data/messy/derived-semicolon-decimal-comma-latin1.csv',
    'data/messy/fixed-width-station.txt',
    'data/indoor/mons-house-10min-part1.csv.gz',
    'data/indoor/office-1min-a.csv.gz',
    'data/indoor/valencia-house-15min-part1.txt.gz',
    'data/weather/nyc-2013-hourly.csv.gz',
  ].flatMap((path) => {
    const file = realFile(path)
    if (!file) return []
    const bytes = readFileSync(file)
    return [(file.endsWith('.gz') ? gunzipSync(bytes) : bytes).subarray(0, CORPUS_BYTES)]
  }),
  Buffer.from('time,temp (C),RH (%)\n2024-05-13 01:00,20,50\n2024-05-13 02:00,21,51\n2024-05-13 03:00,22,52\n'),
  Buffer.from('Date;Time;sensor;rain (in)\n13/05/2024;01:00;a;0.1\n13/05/2024;02:00;b;T\n'),
  Buffer.from('1720962000,20.5,55\n1720965600,20.6,56\n1720969200,20.7,57\n'),
]

/** Small, fast and reproducible (mulberry32). */
function randomFrom(seed: number): () => number {
  let state = seed
  return () => {
    state = (state + 0x6d2b79f5) | 0
    let t = Math.imul(state ^ (state >>> 15), 1 | state)
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t
    return ((t ^ (t >>> 14)) >>> 0) / 4_294_967_296
  }
}

const PIECES = [
  ',',
  ';',
  '\t',
  '"',
  '\n',
  '\r\n',
  ' ',
  '-',
  ':',
  '24:00',
  '00/00/0000',
  '9'.repeat(40),
  'NaN',
  '\0',
  'é',
  '1e999',
  '-9999',
  'AM',
  '+99:99',
  'T',
  '#',
]

function mutate(bytes: Buffer, random: () => number): Buffer {
  let out = Buffer.from(bytes)
  const changes = 1 + Math.floor(random() * 6)
  for (let i = 0; i < changes; i++) {
    const at = Math.floor(random() * out.length)
    const what = random()
    if (what < 0.3) out[at] = Math.floor(random() * 256)
    else if (what < 0.5) out = Buffer.concat([out.subarray(0, at), out.subarray(at + 1 + Math.floor(random() * 30))])
    else if (what < 0.8) {
      const piece = Buffer.from(PIECES[Math.floor(random() * PIECES.length)]!)
      out = Buffer.concat([out.subarray(0, at), piece, out.subarray(at)])
    } else {
      const from = Math.floor(random() * out.length)
      out = Buffer.concat([out.subarray(0, at), out.subarray(from, from + 100), out.subarray(at)])
    }
    if (out.length === 0) out = Buffer.from('x')
  }
  return out
}

/** Looks and reads; every reading must belong to a line of the file, and no line may give a probe two readings. */
async function holds(bytes: Uint8Array): Promise<boolean> {
  const source = sourceOf(bytes, 'fuzz.csv', 4096)
  const look = await lookAtFile(source, { ...CONTEXT, answers: { typicalYear: 2023 } })
  if (!look.ok) {
    expect(look.refusal.message.length + look.refusal.hint.length).toBeGreaterThan(20)
    return false
  }
  const { probes, summary, refused } = await readAll(source, look.understanding)
  const lines = 1 + Buffer.from(bytes).filter((byte) => byte === 10 || byte === 13).length
  expect(summary.rows + summary.refusedRows).toBeLessThanOrEqual(lines)
  expect(refused).toHaveLength(summary.refused)
  for (const [key, rows] of probes) {
    expect(new Set(rows.map((row) => row.line)).size).toBe(rows.length)
    for (const { at, line, values } of rows) {
      expect(Number.isFinite(at)).toBe(true)
      expect(line).toBeGreaterThanOrEqual(look.understanding.firstRowLine)
      expect(line).toBeLessThanOrEqual(lines)
      expect(Object.keys(values).length).toBeGreaterThan(0)
    }
    expect(look.understanding.probes.find((probe) => probe.probeKey === key)?.rows).toBe(rows.length)
  }
  return true
}

test.each([1, 2, 3, 4])('2,000 damaged files, batch %d', async (batch) => {
  const random = randomFrom(SEED + batch)
  let read = 0
  for (let i = 0; i < 2000; i++) if (await holds(mutate(corpus[i % corpus.length]!, random))) read++
  // Most damage is small: if nearly everything were refused, this test would prove little.
  expect(read).toBeGreaterThan(1000)
})

test('2,000 random files', async () => {
  const cell = fc.oneof(
    fc.constantFrom(
      '',
      'NA',
      '-9999',
      '2024-05-13',
      '05/06/24',
      '13:45',
      '1:00 PM',
      '24:00',
      'time',
      'temp',
      'RH (%)',
      '"',
      '1,5',
      '°F',
    ),
    fc.double({ min: -200, max: 2000, noNaN: true }).map((n) => n.toFixed(2)),
    fc.string({ maxLength: 8 }),
  )
  const table = fc
    .tuple(fc.constantFrom(',', ';', '\t', ' ', '|'), fc.array(fc.array(cell, { maxLength: 6 }), { maxLength: 12 }))
    .map(([delimiter, rows]) => Buffer.from(rows.map((row) => row.join(delimiter)).join('\n')))
  const bytes = fc.uint8Array({ maxLength: 300 }).map((b) => Buffer.from(b))
  await fc.assert(
    fc.asyncProperty(fc.oneof({ weight: 4, arbitrary: table }, { weight: 1, arbitrary: bytes }), async (b) => {
      await holds(b)
    }),
    { numRuns: 2000, seed: SEED },
  )
})

test('every number of an untouched table comes back at its own line', async () => {
  const rowsOf = fc.array(
    fc.record({ temp: fc.integer({ min: -300, max: 400 }), rh: fc.integer({ min: 0, max: 1000 }) }),
    { minLength: 3, maxLength: 60 },
  )
  await fc.assert(
    fc.asyncProperty(rowsOf, fc.constantFrom(',', ';', '\t'), fc.boolean(), async (rows, delimiter, quoted) => {
      const q = (text: string) => (quoted ? `"${text}"` : text)
      const start = Date.UTC(2024, 4, 13)
      const lines = rows.map(({ temp, rh }, i) =>
        [new Date(start + i * 600_000).toISOString(), (temp / 10).toFixed(1), (rh / 10).toFixed(1)]
          .map(q)
          .join(delimiter),
      )
      const source = sourceOf(
        `${['time', 'temp (C)', 'RH (%)'].map(q).join(delimiter)}\n${lines.join('\n')}\n`,
        'x.csv',
        64,
      )
      const look = await lookAtFile(source, {
        ...CONTEXT,
        answers: { columnUnits: { 'RH (%)': '%', 'temp (C)': '°C' } },
      })
      if (!look.ok) throw new Error(look.refusal.message)
      const { probes } = await readAll(source, look.understanding)
      const got = probes.get('probe')!
      expect(got.map((row) => [row.at, row.line, row.values.tempC, row.values.rhPct])).toEqual(
        rows.map(({ temp, rh }, i) => [start + i * 600_000, i + 2, temp / 10, rh / 10]),
      )
    }),
    { numRuns: 100, seed: SEED },
  )
})
