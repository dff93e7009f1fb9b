/** Findings of a house of six probes over a year at 5 minutes: from the stored hours, and when nothing has changed. */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { rhPctFromVaporPressure, vaporPressurePa } from '../../server/physics/air.ts'
import type { ReadingColumns } from '../../server/series/quantities.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import { openDatabase } from '../../server/store/open.ts'
import { refreshHourly } from '../../server/store/refreshHourly.ts'
import { findingsOf, studyHouse } from '../../server/study/findings.ts'
import { createHouseFindings } from '../../server/study/houseFindings.ts'
import { DAY, MINUTE, normal, seeded } from '../support/series.ts'
import { storeTestHouse } from '../support/studiedHouse.ts'

const FROM = Date.UTC(2023, 0, 1, 5)
const STEPS = (365 * DAY) / (5 * MINUTE)
const ROUNDS = 5
const random = seeded(5)
const noise = normal(random)
const SPOTS = ['a', 'b', 'c', 'd']

const HOUSE: HouseTree = {
  format: 'underjoist house 1',
  key: 'bench',
  name: 'Invented house',
  invented: true,
  timeZone: 'America/New_York',
  spaces: [
    {
      key: 'crawl',
      name: 'Crawl space',
      role: 'crawl space',
      kind: 'vented',
      spots: SPOTS.map((key) => ({ key, name: key })),
    },
    { key: 'out', name: 'Outdoors', role: 'outdoor', spots: [{ key: 'north', name: 'North wall' }] },
    { key: 'home', name: 'Living space', role: 'living', spots: [{ key: 'hall', name: 'Hall' }] },
  ],
  loggers: [...SPOTS.map((key) => [key, `crawl/${key}`]), ['out', 'out/north'], ['home', 'home/hall']].map(
    ([key, spot]) => ({ key: key!, probes: [{ key: 'air', placements: [{ spot: spot!, from: '2022-12-01' }] }] }),
  ),
  works: [
    { key: 'drain', kind: 'yard drain', from: '2023-05-01' },
    { key: 'lids', kind: 'vents sealed', from: '2023-08-15' },
  ],
}

/** Seasons, days, fronts and rain; spots hold their own excess. */
function readings(): Record<string, ReadingColumns> {
  const at = Float64Array.from({ length: STEPS }, (_, i) => FROM + i * 5 * MINUTE)
  const empty = () => ({ at, tempC: new Float64Array(STEPS), rhPct: new Float64Array(STEPS) })
  const spots = Object.fromEntries([...SPOTS, 'home'].map((key) => [`${key}/air`, empty()]))
  const outdoor = { ...empty(), rainMm: new Float64Array(STEPS) }
  let front = 0
  for (let i = 0; i < STEPS; i++) {
    front = 0.999 * front + 0.13 * noise()
    const season = -Math.cos((2 * Math.PI * (at[i]! / DAY - 20)) / 365.25)
    const swing = Math.sin((2 * Math.PI * at[i]!) / DAY)
    outdoor.tempC[i] = 13 + 10 * season + 4 * swing + front
    outdoor.rhPct[i] = Math.min(97, Math.max(30, 68 - 12 * swing + noise()))
    outdoor.rainMm[i] = Math.floor(i / 288) % 9 === 0 && i % 12 === 0 ? 1 : 0
    const outdoorPa = vaporPressurePa(outdoor.tempC[i]!, outdoor.rhPct[i]!)
    for (const [s, one] of Object.values(spots).entries()) {
      one.tempC[i] = 17 + 6 * season + 0.2 * front + 0.05 * noise()
      const rhPct = rhPctFromVaporPressure(one.tempC[i]!, outdoorPa + 60 * s + 10 * noise())
      one.rhPct[i] = Math.min(99, Math.max(10, rhPct))
    }
  }
  return { ...spots, 'out/air': outdoor }
}

async function medianMs(work: () => Promise<unknown>): Promise<{ wall: number; cpu: number }> {
  const walls: number[] = []
  const cpus: number[] = []
  for (let round = 0; round < ROUNDS; round++) {
    const [start, cpu] = [performance.now(), process.cpuUsage()]
    await work()
    const used = process.cpuUsage(cpu)
    walls.push(performance.now() - start)
    cpus.push((used.user + used.system) / 1000)
  }
  const middle = (values: number[]) => values.sort((a, b) => a - b)[ROUNDS >> 1]!
  return { wall: middle(walls), cpu: middle(cpus) }
}

const folder = mkdtempSync(join(tmpdir(), 'underjoist-bench-'))
const db = openDatabase(join(folder, 'bench.db'))
try {
  await storeTestHouse(db, HOUSE, readings())
  const hoursStart = performance.now()
  await refreshHourly(db)
  console.log(
    `hour values of six probes from ${6 * STEPS} readings: ${((performance.now() - hoursStart) / 1000).toFixed(1)} s`,
  )
  const cold = await medianMs(() => studyHouse(db, HOUSE.key))
  console.log(
    `all questions from the hours: ${(cold.wall / 1000).toFixed(2)} s, processor ${(cold.cpu / 1000).toFixed(2)} s (goal: below 2 s)`,
  )
  const found = (await findingsOf(db, HOUSE.key, { now: FROM, asOf: null }))!
  const kept = await medianMs(() => findingsOf(db, HOUSE.key, { now: FROM, asOf: null }))
  console.log(
    `nothing changed: ${kept.wall.toFixed(1)} ms, processor ${kept.cpu.toFixed(1)} ms (goal: below 20 ms), 1 to ${(cold.wall / kept.wall).toFixed(0)}`,
  )
  console.log(`${found.length} findings, ${(JSON.stringify(found).length / 1024).toFixed(0)} KiB`)

  // A timer that should fire every 5 ms tells how long the service was kept from others while a thread did the work.
  db.raw.prepare('delete from findings').run()
  let [last, longest] = [performance.now(), 0]
  const ticking = setInterval(() => {
    longest = Math.max(longest, performance.now() - last)
    last = performance.now()
  }, 5)
  const start = performance.now()
  await createHouseFindings(db, () => FROM)(HOUSE.key)
  clearInterval(ticking)
  console.log(
    `through a worker thread: ${((performance.now() - start) / 1000).toFixed(2)} s; longest wait of others ${longest.toFixed(0)} ms`,
  )
} finally {
  db.close()
  rmSync(folder, { recursive: true })
}
