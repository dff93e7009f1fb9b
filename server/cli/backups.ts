/** The service's own backups: settings, a thread for each, and what is known of them afterwards. */
import { clearPartials, wholeBackups } from '../files/backupFolder.ts'
import { type BackupSchedule, type BackupState, createBackupSchedule } from '../files/backupSchedule.ts'
import { writeTrouble } from '../files/durable.ts'
import { runInWorker } from '../jobs/inWorker.ts'
import type { Database } from '../store/open.ts'
import { noteServiceFact, readServiceFact } from '../store/serviceFacts.ts'
import type { BackupResult, BackupTask } from './backupWorker.ts'
import { count } from './words.ts'

const WORKER = new URL('./backupWorker.ts', import.meta.url).href
const FACT = 'backups'
const HOUR_MS = 3_600_000

export interface BackupSettings {
  folder: string
  everyH: number
  /** The newest so many stay in any case. */
  keep: number
}

/** As it is noted in the database, so that `underjoist check` knows of it. */
interface Noted {
  folder: string
  trouble: BackupState['trouble']
}

export interface BackupLog {
  info(facts: object, what: string): void
  warn(sentence: string): void
}

export function createBackups(
  db: Database,
  { folder, everyH, keep }: BackupSettings,
  { now, log }: { now: () => number; log: BackupLog },
): BackupSchedule {
  const note = (trouble: BackupState['trouble']) =>
    noteServiceFact(db, FACT, JSON.stringify({ folder, trouble } satisfies Noted))
  return createBackupSchedule({
    everyMs: everyH * HOUR_MS,
    now,
    async lastGoodAt() {
      await note((await noted(db))?.trouble ?? null)
      return newestAt(folder, db.path)
    },
    async backUp(signal) {
      const task: BackupTask = { databasePath: db.path, folder, keep, at: now() }
      try {
        const made = await runInWorker<BackupResult>(WORKER, task, { signal })
        log.info({ path: made.path }, 'backup made')
        if (made.photosMissing > 0) {
          log.warn(`The backup ${made.path} lacks ${count(made.photosMissing, 'photo')} that houses name.`)
        }
        if (made.rotationTrouble !== null) log.warn(made.rotationTrouble)
        return made.at
      } catch (error) {
        // A thread that was ended cannot clean up after itself.
        await clearPartials(folder, now())
        throw error
      }
    },
    async onTried({ trouble }) {
      if (trouble !== null) log.warn(`No backup was made. ${trouble.sentence}`)
      // A disk that is full must not end the service over a note; the log and the metrics have it.
      await note(trouble).catch(() => {})
    },
  })
}

const noted = async (db: Database): Promise<Noted | null> => {
  const text = await readServiceFact(db, FACT)
  return text === undefined ? null : (JSON.parse(text) as Noted)
}

async function newestAt(folder: string, databasePath: string): Promise<number | null> {
  try {
    return (await wholeBackups(folder, databasePath)).at(-1)?.manifest.at ?? null
  } catch (error) {
    throw writeTrouble(error, folder)
  }
}

/** How a database stands with its backups, as far as the service noted; null when none are scheduled. */
export async function backupStanding(db: Database): Promise<(BackupState & { folder: string }) | null> {
  const known = await noted(db)
  if (known === null) return null
  return { ...known, lastGoodAt: await newestAt(known.folder, db.path).catch(() => null) }
}

export function standingSentence(standing: Awaited<ReturnType<typeof backupStanding>>, now: number): string {
  if (standing === null) return 'Nothing backs this database up by itself yet (BACKUP_FOLDER).'
  const { folder, lastGoodAt, trouble } = standing
  const last =
    lastGoodAt === null
      ? `No whole backup of it is in ${folder}.`
      : `Last backup ${new Date(lastGoodAt).toISOString().slice(0, 16)}Z, ${count(Math.max(0, Math.floor((now - lastGoodAt) / HOUR_MS)), 'hour')} ago, in ${folder}.`
  if (trouble === null) return last
  return `${last} The one of ${new Date(trouble.at).toISOString().slice(0, 16)}Z was not made: ${trouble.sentence}`
}
