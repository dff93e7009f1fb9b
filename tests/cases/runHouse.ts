/** One case through the real importer, store and analyses, on a scratch database. Runs in a worker thread. */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { importFile } from '../../server/ingest/import.ts'
import { createIntake } from '../../server/ingest/intake.ts'
import type { WorkerContext } from '../../server/jobs/workerMessages.ts'
import type { ImportCounts } from '../../server/store/imports.ts'
import { type Database, openDatabase } from '../../server/store/open.ts'
import { refreshHourly } from '../../server/store/refreshHourly.ts'
import { storeHouse } from '../../server/store/storeHouse.ts'
import { readHouseRecord } from '../../server/study/houseRecord.ts'
import type { StudiedHouse } from '../../server/study/studiedHouse.ts'
import { answersOf, type CaseAnswers } from './answers.ts'
import { type CaseFolder, readCaseFolder } from './caseFolder.ts'

export interface CaseResult {
  answers: CaseAnswers
  /** Sentences about what is missing or could not be answered. */
  notes: string[]
  seconds: { import: number; analysis: number }
}

export async function run({ folder }: { folder: string }, { progress }: Pick<WorkerContext, 'progress'>) {
  const started = performance.now()
  return withScratchDatabase(async (db): Promise<CaseResult> => {
    const { house, found, notes } = await bringIn(db, folder, (done, total) => progress(done, total, 'files'))
    const imported = performance.now()
    const { answers, open } = answersOf(house, found)
    const seconds = { import: (imported - started) / 1000, analysis: (performance.now() - imported) / 1000 }
    return { answers, notes: [...notes, ...open], seconds }
  })
}

/** Brings a case folder in and reads it back as the analyses see it. */
export async function bringIn(db: Database, folder: string, onFile?: (done: number, total: number) => void) {
  const found: CaseFolder = readCaseFolder(folder)
  const now = Date.now
  const deps = { db, intake: createIntake(db, { now }), now }
  const stored = await storeHouse(db, found.tree, { replace: false, now: now(), who: 'cases' })
  const notes = found.missing.map((name) => `${name} is named in house.json and missing from the folder.`)
  const imported: ({ path: string } & ImportCounts)[] = []
  for (const { path, logger, station } of found.files) {
    const probe =
      station === null ? stored.probes.find((one) => one.logger === logger)!.id : stored.stations.get(station)!
    const result = await importFile(deps, { path, houseId: stored.houseId, probes: { '*': probe } })
    const { note, stored: rows, repeated, filled, differs, refused } = result
    imported.push({ path, stored: rows, repeated, filled, differs, refused })
    if (note !== null) notes.push(`${path}: ${note}`)
    onFile?.(imported.length, found.files.length)
  }
  await refreshHourly(db)
  const house = (await readHouseRecord(db, found.tree.key)) as StudiedHouse
  return { house, found, imported, notes }
}

export async function withScratchDatabase<T>(work: (db: Database) => Promise<T>): Promise<T> {
  const folder = mkdtempSync(join(tmpdir(), 'underjoist-case-'))
  const db = openDatabase(join(folder, 'case.db'))
  try {
    return await work(db)
  } finally {
    db.close()
    rmSync(folder, { recursive: true, force: true })
  }
}
