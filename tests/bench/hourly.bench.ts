/** Hour values: a year at a reading every 5 minutes, against a plain pass of sums and against reading the stored hours. */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { buildHourly, HOUR_MS } from '../../server/series/hourly.ts'
import { digestHours, readHours } from '../../server/store/hourly.ts'
import { openDatabase } from '../../server/store/open.ts'
import { readColumns, storeReadings } from '../../server/store/readings.ts'
import { refreshHourly } from '../../server/store/refreshHourly.ts'
import { addProbes } from '../support/database.ts'
import { MINUTE, madeReadings, seeded } from '../support/series.ts'
import { stepsOf } from '../support/studiedHouse.ts'

const ROUNDS = 7
const random = seeded(1)
const year = madeReadings({
  from: Date.UTC(2023, 0, 1),
  to: Date.UTC(2024, 0, 1),
  everyMs: 5 * MINUTE,
  tempC: () => 15 + random(),
  rhPct: () => 80 + 5 * random(),
})

/** Median processor time of several rounds [ms]; wall time depends on who else is on the machine. */
async function cpuMs(work: () => unknown): Promise<number> {
  const times: number[] = []
  for (let round = 0; round < ROUNDS; round++) {
    const start = process.cpuUsage()
    await work()
    const { user, system } = process.cpuUsage(start)
    times.push((user + system) / 1000)
  }
  return times.sort((a, b) => a - b)[ROUNDS >> 1]!
}

/** The least any hourly mean needs: one pass, one sum and one count an hour. */
function plainPass(): number {
  const sums = new Float64Array(8760)
  for (let i = 0; i < year.at.length; i++) {
    sums[Math.floor((year.at[i]! - year.at[0]!) / HOUR_MS)]! += year.tempC![i]! + year.rhPct![i]!
  }
  return sums[0]!
}

const folder = mkdtempSync(join(tmpdir(), 'underjoist-bench-'))
const db = openDatabase(join(folder, 'bench.db'))
try {
  const plain = await cpuMs(plainPass)
  const build = await cpuMs(() => buildHourly(year))
  console.log(`build a year of 5-minute readings: ${build.toFixed(1)} ms, ${(build / plain).toFixed(0)} plain passes`)

  const probe = addProbes(db, 1)[0]!
  await storeReadings(db, stepsOf(probe, year))
  const start = performance.now()
  await refreshHourly(db, [probe])
  console.log(`rebuild the stored hours of the year: ${(performance.now() - start).toFixed(0)} ms, 27 commits`)
  const raw = await cpuMs(() => readColumns(db, probe, 0, Number.MAX_SAFE_INTEGER))
  const stored = await cpuMs(() => readHours(db, probe, 0, Number.MAX_SAFE_INTEGER))
  const digest = await cpuMs(() => digestHours(db, probe))
  console.log(
    `read the readings ${raw.toFixed(1)} ms, the hours ${stored.toFixed(1)} ms: 1 to ${(raw / stored).toFixed(1)}`,
  )
  console.log(`fingerprint of the hours: ${digest.toFixed(1)} ms a probe and year`)
} finally {
  db.close()
  rmSync(folder, { recursive: true })
}
