/** Files on their way in, as the pages handle them: kept aside, looked at, stored by a job, taken back. */
import type { Readable } from 'node:stream'
import { type HeadLine, headLines, type KeptFile, type KeptFiles } from '../files/keptFiles.ts'
import type { Queue } from '../jobs/queue.ts'
import { findHouse, findProbesOfHouse } from '../store/houses.ts'
import { findImport, findImportOfBytes, findImports, type ImportRow } from '../store/imports.ts'
import { findJobs, type Job } from '../store/jobs.ts'
import type { Database } from '../store/open.ts'
import { undoImport } from '../store/undoImport.ts'
import type { Answers, Look } from './csv/understanding.ts'
import { type Destination, settleDestinations } from './destinations.ts'
import { type ImportArgs, lookAt } from './import.ts'
import { addImportJob, IMPORT_KIND } from './importJob.ts'

export interface LookedAt {
  kept: KeptFile
  head: HeadLine[]
  look: Look
  answers: Answers
  knownImportId: number | null
}

export interface FileDesk {
  /** undefined: no such house. */
  keep(houseKey: string, name: string, bytes: Readable): Promise<LookedAt | undefined>
  /** undefined: no such house or file. */
  look(houseKey: string, file: string, answers: Answers): Promise<LookedAt | undefined>
  /** What is still open keeps it from being stored: `why` is a sentence. */
  store(
    houseKey: string,
    file: string,
    asked: { answers: Answers; probes: Record<string, Destination>; who: string },
  ): Promise<{ importId: number; jobId: number } | { why: string } | undefined>
  drop(houseKey: string, file: string): Promise<void>
  progress(importId: number): Promise<{ row: ImportRow; job: Job | null } | undefined>
  imports(houseKey: string): Promise<ImportRow[] | undefined>
  /** `why` is a sentence. */
  undo(importId: number, who: string): Promise<{ removed: number } | { why: string } | undefined>
  cancel(importId: number): Promise<boolean>
}

export interface FileDeskDeps {
  db: Database
  now: () => number
  kept: KeptFiles
  queue: Pick<Queue, 'add' | 'cancel'>
}

const HEAD_LINES = 12
const DAY_MS = 86_400_000
const RECENT_JOBS = 500

export function createFileDesk({ db, now, kept, queue }: FileDeskDeps): FileDesk {
  async function lookedAt(houseId: number, file: KeptFile, asked: Answers): Promise<LookedAt> {
    const source = { path: file.path, fileName: file.name, houseId, answers: asked }
    const { look, answers } = await lookAt({ db, now }, source)
    const [head, knownImportId] = [
      await headLines(file.path, HEAD_LINES).catch(() => []),
      await findImportOfBytes(db, houseId, file.sha256),
    ]
    return { kept: file, head, look, answers, knownImportId }
  }

  const jobOf = async (importId: number) =>
    (await findJobs(db, RECENT_JOBS)).find(
      ({ kind, args }) => kind === IMPORT_KIND && (args as ImportArgs).importId === importId,
    ) ?? null

  return {
    async keep(houseKey, name, bytes) {
      const house = await findHouse(db, houseKey)
      if (!house) {
        bytes.resume()
        return undefined
      }
      await kept.dropOlderThan(now() - DAY_MS)
      return lookedAt(house.id, await kept.keep(houseKey, name, bytes), {})
    },
    async look(houseKey, file, answers) {
      const [house, found] = [await findHouse(db, houseKey), await kept.find(houseKey, file)]
      return house && found ? lookedAt(house.id, found, answers) : undefined
    },
    async store(houseKey, file, { answers, probes, who }) {
      const [house, found] = [await findHouse(db, houseKey), await kept.find(houseKey, file)]
      if (!house || !found) return undefined
      const { look, answers: all } = await lookedAt(house.id, found, answers)
      if (!look.ok) return { why: `${look.refusal.message} ${look.refusal.hint}` }
      const open = look.questions.filter(({ assumed }) => assumed === null)
      if (open.length > 0) return { why: `This must be answered first: ${open.map(({ why }) => why).join(' ')}` }
      const by = { now: now(), who, fileName: found.name }
      const probeOf = await settleDestinations(db, houseKey, look.understanding.probes, probes, by)
      const args = { path: found.path, fileName: found.name, houseId: house.id, probes: probeOf, answers: all }
      return addImportJob({ db, now, queue }, args)
    },
    async drop(houseKey, file) {
      if ((await kept.find(houseKey, file)) !== null) await kept.drop(file)
    },
    async progress(importId) {
      const row = await findImport(db, importId)
      return row === null ? undefined : { row, job: await jobOf(importId) }
    },
    async imports(houseKey) {
      const house = await findHouse(db, houseKey)
      return house && findImports(db, house.id)
    },
    async undo(importId, who) {
      const row = await findImport(db, importId)
      if (row === null) return undefined
      if (row.state === 'storing') return { why: 'It is still being stored. Cancel it first, or wait for its end.' }
      if (row.state === 'undone') return { why: 'It has been undone already.' }
      const probeIds = row.houseId === null ? [] : (await findProbesOfHouse(db, row.houseId)).map(({ id }) => id)
      return { removed: await undoImport(db, importId, { probeIds, now: now(), who }) }
    },
    async cancel(importId) {
      const job = await jobOf(importId)
      return job !== null && job.finishedAt === null && (await queue.cancel(job.id))
    },
  }
}
