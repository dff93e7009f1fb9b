// Real logger and weather files against an independent reading: golden/real-files.json holds, for each probe, the rows,
// first and last instant, and count, sum, smallest and largest value of each quantity. It was made from the files' own
// text by another program (Python's csv and zoneinfo, one hand-written recipe a file), never from this importer.
import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import type { Answers } from '../../../server/ingest/csv/understanding.ts'
import type { Quantity } from '../../../server/series/quantities.ts'
import { fileSource, type ReadingRow, readAll, realFile, understood } from './support/source.ts'

interface Golden {
  path: string
  timeZone: string
  answers?: Answers
  probes: Record<
    string,
    { rows: number; firstAt: number; lastAt: number; q: Record<string, [number, number, number, number]> }
  >
}

const GOLDEN = JSON.parse(readFileSync(new URL('./golden/real-files.json', import.meta.url), 'utf8')) as Golden[]
const present = GOLDEN.filter(({ path }) => realFile(path) !== null)
if (present.length < GOLDEN.length) {
  console.warn(`${GOLDEN.length - present.length} of ${GOLDEN.length} real files are not here and are left out.`)
}

const facts = (rows: readonly ReadingRow[]) => {
  const q: Record<string, [number, number, number, number]> = {}
  for (const { values } of rows) {
    for (const [quantity, value] of Object.entries(values)) {
      const of = (q[quantity] ??= [0, 0, Infinity, -Infinity])
      of[0]++
      of[1] += value
      of[2] = Math.min(of[2], value)
      of[3] = Math.max(of[3], value)
    }
  }
  const ats = rows.map((row) => row.at)
  return {
    rows: rows.length,
    firstAt: ats.reduce((a, b) => Math.min(a, b)),
    lastAt: ats.reduce((a, b) => Math.max(a, b)),
    q,
  }
}

test.each(present)(
  '$path is understood and read as another program reads it',
  async ({ path, timeZone, answers, probes }) => {
    const source = fileSource(realFile(path)!)
    const look = await understood(source, { timeZone, answers })
    expect(look.questions.filter((question) => question.assumed === null)).toEqual([])
    const read = await readAll(source, look.understanding)
    expect([...read.probes.keys()].sort()).toEqual(Object.keys(probes).sort())
    for (const [key, expected] of Object.entries(probes)) {
      const got = facts(read.probes.get(key)!)
      expect({ rows: got.rows, firstAt: got.firstAt, lastAt: got.lastAt }).toEqual({
        rows: expected.rows,
        firstAt: expected.firstAt,
        lastAt: expected.lastAt,
      })
      expect(Object.keys(got.q).sort()).toEqual(Object.keys(expected.q).sort())
      for (const [quantity, [count, sum, min, max]] of Object.entries(expected.q)) {
        const of = got.q[quantity]!
        expect(of[0]).toBe(count)
        expect(of[1]).toBeCloseTo(sum, 2)
        expect(of[2]).toBeCloseTo(min, 3)
        expect(of[3]).toBeCloseTo(max, 3)
      }
      // What the look promised is what the reading gives.
      const promised = look.understanding.probes.find((probe) => probe.probeKey === key)!
      expect(promised.rows).toBe(got.rows)
      for (const found of promised.quantities) expect(found.count).toBe(got.q[found.quantity as Quantity]![0])
    }
  },
)

const AUTUMN = 'data/messy/derived-utf16-tab-12h-fahrenheit-dst-autumn.txt'
const NYC = 'data/weather/nyc-2013-jfk-autumn.csv.gz'

describe.skipIf(!realFile(AUTUMN) || !realFile(NYC))('daylight saving against the true UTC', () => {
  test('every row of the autumn file stands at the UTC that the source states for it', async () => {
    const truthSource = fileSource(realFile(NYC)!)
    const truth = await readAll(
      truthSource,
      (await understood(truthSource, { answers: { columnUnits: { temp: '°F', dewp: '°F' } } })).understanding,
    )
    const jfk = new Map(truth.probes.get('JFK')!.map((row) => [row.at, row.values]))
    const source = fileSource(realFile(AUTUMN)!)
    const look = await understood(source)
    const { probes } = await readAll(source, look.understanding)
    const rows = probes.get('probe')!
    expect(rows).toHaveLength(329)
    for (const { at, values } of rows) {
      expect(values.tempC).toBeCloseTo(jfk.get(at)!.tempC!, 1)
      expect(values.rhPct).toBeCloseTo(jfk.get(at)!.rhPct!, 1)
    }
    expect(look.warnings.map((warning) => warning.code)).toContain('repeatedHour')
  })
})
