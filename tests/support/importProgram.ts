/**
 * The importer as a program of its own, to be killed in the middle. Arguments: database, file, probe id.
 * Prints "acknowledged N" after each commit, N being the readings stored or recognized so far, and its result at the end.
 */
import { writeSync } from 'node:fs'
import { importFile } from '../../server/ingest/import.ts'
import { createIntake } from '../../server/ingest/intake.ts'
import { openDatabase } from '../../server/store/open.ts'

const [path, file, probe] = process.argv.slice(2) as [string, string, string]
const db = openDatabase(path)
const now = Date.now
const result = await importFile(
  { db, now, intake: createIntake(db, { now }) },
  { path: file, timeZone: 'America/New_York', probes: { '*': Number(probe) } },
  // Written past all buffers: what is printed was acknowledged, even if the next instruction never comes.
  { onProgress: (_, __, { stored, repeated }) => writeSync(1, `acknowledged ${stored + repeated}\n`) },
)
writeSync(1, `${JSON.stringify(result)}\n`)
db.close()
