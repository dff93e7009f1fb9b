/** What a thread runs to make a backup: reading a large database whole must not keep a reading waiting. */
import { type BackupOptions, backUp } from '../files/backup.ts'
import type { WorkerContext } from '../jobs/workerMessages.ts'

export type BackupTask = Pick<BackupOptions, 'databasePath' | 'folder' | 'keep'> & { at: number }

export interface BackupResult {
  path: string
  at: number
  photosMissing: number
  rotationTrouble: string | null
}

export async function run({ at, ...task }: BackupTask, { progress }: WorkerContext): Promise<BackupResult> {
  const { path, manifest, rotationTrouble } = await backUp({ ...task, now: () => at, onProgress: progress })
  return { path, at: manifest.at, photosMissing: manifest.photosMissing.length, rotationTrouble }
}
