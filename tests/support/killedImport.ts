/** Kills the importer in the middle of a file, again and again, and checks what is left each time. */
import { join } from 'node:path'
import { expect } from 'vitest'
import { type Database, openDatabase } from '../../server/store/open.ts'
import { addProbes, scratchFolder } from './database.ts'
import { FIRST_AT, rhSteps, STEP_MS, tempSteps, writeSeriesFile } from './seriesFile.ts'
import { followProgram, startProgram } from './tsx.ts'

const PROGRAM = new URL('./importProgram.ts', import.meta.url).href

/**
 * Imports a file of that many rows in programs that are each killed further on, then lets one end.
 * After every kill: the file of the database is sound, every acknowledged row is there, and every row has its values.
 */
export async function importUnderKills(rows: number, kills: number): Promise<void> {
  const folder = scratchFolder()
  const file = join(folder, 'series.csv')
  writeSeriesFile(file, rows)
  const path = join(folder, 'underjoist.db')
  const setUp = openDatabase(path)
  const [probe] = addProbes(setUp, 1) as [number]
  setUp.close()

  for (let kill = 1; kill <= kills; kill++) {
    // Each one gets a little further than the last, so that kills meet new rows as well as repeated ones.
    const killAfter = Math.floor((rows * (kill - 0.5)) / (kills + 0.5))
    const { acknowledged, signal } = await runImport(path, file, probe, killAfter)
    expect(signal).toBe('SIGKILL')
    expect(acknowledged).toBeGreaterThanOrEqual(killAfter)
    expect(acknowledged).toBeLessThan(rows)
    const db = openDatabase(path)
    expect(db.raw.pragma('integrity_check', { simple: true })).toBe('ok')
    expect(wrongRows(db, probe)).toEqual({ count: expect.any(Number), wrong: 0, gaps: 0 })
    expect(wrongRows(db, probe).count).toBeGreaterThanOrEqual(acknowledged)
    db.close()
  }

  const last = await runImport(path, file, probe, Number.POSITIVE_INFINITY)
  expect(last.result).toMatchObject({ state: 'stored', differs: 0, refused: 0, filled: 0 })
  expect(last.acknowledged).toBe(rows)
  const again = await runImport(path, file, probe, Number.POSITIVE_INFINITY)
  expect(again.result).toMatchObject({ state: 'stored', stored: 0, repeated: rows })
  const db = openDatabase(path)
  expect(wrongRows(db, probe)).toEqual({ count: rows, wrong: 0, gaps: 0 })
  db.close()
}

async function runImport(path: string, file: string, probe: number, killAfter: number) {
  const program = startProgram(PROGRAM, [path, file, String(probe)])
  let acknowledged = 0
  let result: unknown = null
  const { code, signal, errors } = await followProgram(program, (line) => {
    if (line.startsWith('acknowledged ')) acknowledged = Number(line.slice('acknowledged '.length))
    else result = JSON.parse(line)
    if (acknowledged >= killAfter) program.kill('SIGKILL')
  })
  if (signal === null && code !== 0) throw new Error(`The importer failed: ${errors}`)
  return { acknowledged, result, signal }
}

/** Rows are stored in the order of the file, so what is there must be its beginning, without a gap. */
function wrongRows(db: Database, probe: number): { count: number; wrong: number; gaps: number } {
  let count = 0
  let wrong = 0
  let gaps = 0
  const rows = db.raw.prepare('select at, temp_c, rh_pct from readings where probe_id = ? order by at').raw()
  for (const row of rows.iterate(probe) as Iterable<[number, number, number]>) {
    const [at, tempC, rhPct] = row
    if (at !== FIRST_AT + count * STEP_MS) gaps++
    if (tempC !== tempSteps(count) || rhPct !== rhSteps(count)) wrong++
    count++
  }
  return { count, wrong, gaps }
}
