/** Chart data: a year of six probes at five minutes, as the page of a house asks for it. Goal: 50 ms in the server. */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { buildService } from '../../server/cli/runService.ts'
import { storeReadings } from '../../server/store/readings.ts'
import { refreshHourly } from '../../server/store/refreshHourly.ts'
import { storeHouse } from '../../server/store/storeHouse.ts'
import { madeReadings, swing } from '../support/series.ts'
import { stepsOf, TEST_HOUSE } from '../support/studiedHouse.ts'

const PROBES = 6
const DAY = 86_400_000
const from = Date.UTC(2025, 0, 1)
const to = from + 365 * DAY
const folder = mkdtempSync(join(tmpdir(), 'underjoist-bench-'))
const parts = await buildService({
  door: 'open on this machine',
  databasePath: join(folder, 'bench.db'),
  now: () => to,
  log: false,
})

const spots = Array.from({ length: PROBES - 1 }, (_, i) => ({ key: `spot-${i}`, name: `Spot ${i}` }))
const places = [...spots.map(({ key }) => `crawl/${key}`), 'out/north']
const house = await storeHouse(
  parts.db,
  {
    ...TEST_HOUSE,
    spaces: [{ ...TEST_HOUSE.spaces[0]!, spots }, TEST_HOUSE.spaces[1]!],
    loggers: places.map((spot, i) => ({
      key: `l${i}`,
      probes: [{ key: 'air', placements: [{ spot, from: '2024-12-01' }] }],
    })),
  },
  { replace: true, now: from, who: 'bench' },
)
for (const [i, { id }] of house.probes.entries()) {
  const readings = madeReadings({ from, to, everyMs: 300_000, tempC: swing(15 + i, 5), rhPct: swing(70, 15) })
  await storeReadings(parts.db, stepsOf(id, readings))
}
await refreshHourly(
  parts.db,
  house.probes.map(({ id }) => id),
)

async function timed(query: string, rounds = 25): Promise<{ median: number; most: number; bytes: number }> {
  const times: number[] = []
  let bytes = 0
  for (let i = 0; i < rounds; i++) {
    const start = performance.now()
    const answer = await parts.app.inject(`/api/houses/test-house/record?${query}`)
    times.push(performance.now() - start)
    bytes = answer.body.length
  }
  times.sort((a, b) => a - b)
  return { median: times[rounds >> 1]!, most: times.at(-1)!, bytes }
}

console.log('what                                median ms   most ms   bytes')
for (const [what, query] of [
  ['a year, dew point (goal 50 ms)', 'show=dewPointC&rows=600'],
  ['a year, RH', 'show=rhPct&rows=600'],
  ['a month', `show=dewPointC&rows=600&from=${to - 31 * DAY}&to=${to}`],
  ['a day, every reading', `show=dewPointC&rows=600&from=${to - DAY}&to=${to}`],
] as const) {
  const { median, most, bytes } = await timed(query)
  console.log(
    `${what.padEnd(36)}${median.toFixed(1).padStart(9)}${most.toFixed(1).padStart(10)}${String(bytes).padStart(8)}`,
  )
}
await parts.stop()
rmSync(folder, { recursive: true, force: true })
