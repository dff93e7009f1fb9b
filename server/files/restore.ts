/** Puts a backup into an empty place, looked at before and after. */
import { mkdir, rename, rm } from 'node:fs/promises'
import { dirname, join, resolve } from 'node:path'
import { isKnownVersion, lookIntoCopy } from '../store/snapshot.ts'
import { mustHold, verifyBackup } from './backup.ts'
import {
  BackupRefused,
  copyToDisk,
  exists,
  flushNames,
  flushToDisk,
  hashOfFile,
  makeFolder,
  writeTrouble,
} from './durable.ts'
import { DATABASE_FILE, type Manifest, PHOTOS_FOLDER } from './manifest.ts'
import { photosFolder } from './photos.ts'

export interface RestoreOptions {
  /** Folder of one backup. */
  backup: string
  /** Where the database goes; nothing may be there. */
  databasePath: string
  signal?: AbortSignal
  onProgress?: (done: number, total: number | null, message: string) => void
}

/**
 * The database comes to its name last: until then there is none at that place.
 * @throws BackupRefused with a sentence; nothing is left behind then
 */
export async function restore({ backup, databasePath, ...options }: RestoreOptions): Promise<Manifest> {
  await refuseTakenPlace(databasePath)
  const manifest = await verifyBackup(backup, options)
  if (!isKnownVersion(manifest)) {
    throw new BackupRefused(
      `${backup} was made by a newer version of Underjoist (${manifest.program}). Restore it with that one.`,
    )
  }
  const folder = dirname(resolve(databasePath))
  const aside = `${resolve(databasePath)}.restoring-${process.pid}`
  const photosTo = photosFolder(databasePath)
  let photosAreThere = false
  try {
    await makeFolder(folder)
    await mkdir(aside)
    for (const [i, { path, sha256 }] of manifest.files.entries()) {
      if (options.signal?.aborted) throw new BackupRefused('Stopped before it was whole; nothing was kept.')
      options.onProgress?.(i, manifest.files.length, path)
      await mkdir(dirname(join(aside, path)), { recursive: true })
      await copyToDisk(join(backup, path), join(aside, path))
      if ((await hashOfFile(join(aside, path))) !== sha256) {
        throw new BackupRefused(`The copy of ${path} is not what the backup holds. Try again, or on another disk.`)
      }
    }
    mustHold(manifest, lookIntoCopy(join(aside, DATABASE_FILE)), aside)
    await flushNames(aside)
    await refuseTakenPlace(databasePath)
    if (await exists(join(aside, PHOTOS_FOLDER))) {
      await rename(join(aside, PHOTOS_FOLDER), photosTo)
      photosAreThere = true
    }
    await rename(join(aside, DATABASE_FILE), databasePath)
    await flushToDisk(folder)
    await rm(aside, { recursive: true, force: true })
    return manifest
  } catch (error) {
    await rm(aside, { recursive: true, force: true }).catch(() => {})
    if (photosAreThere) await rm(photosTo, { recursive: true, force: true }).catch(() => {})
    throw writeTrouble(error, folder)
  }
}

/** A journal of another database would be played into this one; photos of another would be mixed with these. */
async function refuseTakenPlace(databasePath: string): Promise<void> {
  for (const path of [databasePath, `${databasePath}-wal`, `${databasePath}-journal`, photosFolder(databasePath)]) {
    if (await exists(path)) {
      throw new BackupRefused(
        `${path} is there already, and a backup is restored into an empty place only. Name another file with --db, or move it away.`,
      )
    }
  }
}
