/** Makes a backup of a database and its photos while the service uses them, and looks at it before it counts. */
import { readFileSync } from 'node:fs'
import { mkdir, rename, rm, rmdir, stat, statfs } from 'node:fs/promises'
import { join, resolve } from 'node:path'
import { isDeepStrictEqual } from 'node:util'
import { packageFolder } from '../store/packageFolder.ts'
import { type Contents, copyWhileInUse, lookIntoCopy } from '../store/snapshot.ts'
import { clearPartials, nameOf, partialNameOf, throwOutdatedAway } from './backupFolder.ts'
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
import { DATABASE_FILE, type Manifest, PHOTOS_FOLDER, readManifest, writeManifest } from './manifest.ts'
import { keptPhotos, photoPath } from './photos.ts'

export interface BackupOptions {
  databasePath: string
  /** Where backups are kept; made when missing. */
  folder: string
  /** The newest so many stay. */
  keep: number
  now: () => number
  signal?: AbortSignal
  onProgress?: (done: number, total: number | null, message: string) => void
}

export interface BackedUp {
  path: string
  manifest: Manifest
  /** Paths of older ones that went. */
  thrownAway: string[]
  /** Why older ones could not be thrown away; null when they could. The backup itself is whole. */
  rotationTrouble: string | null
}

/** Room that is left beside the copy. */
const SPARE_BYTES = 16 * 1024 * 1024

/** @throws BackupRefused, DatabaseRefused with a sentence; nothing is left behind then */
export async function backUp(options: BackupOptions): Promise<BackedUp> {
  const { databasePath, now } = options
  const folder = resolve(options.folder)
  const at = now()
  const partial = join(folder, partialNameOf(at))
  const path = join(folder, nameOf(at))
  let madeFolder = false
  try {
    madeFolder = await makeFolder(folder)
    await clearPartials(folder, at)
    if (await exists(path)) throw new BackupRefused(`There is a backup of this second already: ${path}.`)
    await refuseWithoutRoom(databasePath, folder)
    await mkdir(partial)
    const manifest = await fill(partial, at, options)
    await verifyBackup(partial, options)
    await flushNames(partial)
    await rename(partial, path)
    await flushToDisk(folder)
    return { path, manifest, ...(await rotate(folder, options, manifest)) }
  } catch (error) {
    await rm(partial, { recursive: true, force: true }).catch(() => {})
    if (madeFolder) await rmdir(folder).catch(() => {})
    throw writeTrouble(error, folder)
  }
}

/** Fails by itself: a backup that is whole is none the worse for an older one that stays. */
async function rotate(
  folder: string,
  { databasePath, keep }: BackupOptions,
  { at, photosMissing }: Manifest,
): Promise<Pick<BackedUp, 'thrownAway' | 'rotationTrouble'>> {
  // One that lacks a photo throws nothing away: an older one may be the last that has it.
  if (photosMissing.length > 0) return { thrownAway: [], rotationTrouble: null }
  try {
    return { thrownAway: await throwOutdatedAway(folder, databasePath, { now: at, keep }), rotationTrouble: null }
  } catch (error) {
    return { thrownAway: [], rotationTrouble: `Older backups could not be thrown away: ${(error as Error).message}.` }
  }
}

async function fill(partial: string, at: number, options: BackupOptions): Promise<Manifest> {
  const { databasePath } = options
  const copy = join(partial, DATABASE_FILE)
  const { photos: named, ...contents } = await copyWhileInUse(databasePath, copy, (done, total) =>
    step(options, done, total, 'database'),
  )
  await flushToDisk(copy)
  const files: Manifest['files'] = [await entryOf(partial, DATABASE_FILE)]
  // After the database: a photo is kept before a row names it, so every one that the copy names is there by now.
  const kept = await keptPhotos(databasePath)
  for (const [i, hash] of kept.entries()) {
    step(options, i, kept.length, 'photos')
    const entry = await backUpPhoto(databasePath, hash, partial)
    if (entry !== null) files.push(entry)
  }
  const there = new Set(files.map(({ sha256 }) => sha256))
  const manifest = {
    program: programVersion(),
    database: resolve(databasePath),
    at,
    ...contents,
    photosMissing: named.filter((hash) => !there.has(hash)),
    files,
  }
  await writeManifest(partial, manifest)
  return manifest
}

/**
 * Reads every file of a backup and compares it with the manifest.
 * @throws BackupRefused naming the file that is not as it was written
 */
export async function verifyBackup(
  folder: string,
  options: Pick<BackupOptions, 'signal' | 'onProgress'> = {},
): Promise<Manifest> {
  const manifest = await readManifest(folder)
  for (const [i, { path, bytes, sha256 }] of manifest.files.entries()) {
    step(options, i, manifest.files.length, 'looking at it')
    const file = join(folder, path)
    const size = await stat(file).then(
      (found) => found.size,
      () => null,
    )
    if (size === null) throw new BackupRefused(`${file} is missing. Restore another backup.`)
    if (size !== bytes || (await hashOfFile(file)) !== sha256) {
      throw new BackupRefused(`${file} is damaged: it is not as it was written. Restore another backup.`)
    }
  }
  mustHold(manifest, lookIntoCopy(join(folder, DATABASE_FILE)), folder)
  return manifest
}

/** @throws BackupRefused when a database is not what the manifest says of it */
export function mustHold(manifest: Manifest, found: Contents, where: string): void {
  const { migration, rows, firstAt, lastAt } = manifest
  const said = { migration, rows, firstAt, lastAt }
  const { photos: _, ...is } = found
  if (!isDeepStrictEqual(said, is)) {
    throw new BackupRefused(`The database in ${where} does not hold what its manifest says. Do not rely on it.`)
  }
}

/** Null when the bytes are not those of its name: on its way in yet, or damaged. */
async function backUpPhoto(databasePath: string, hash: string, to: string): Promise<Manifest['files'][number] | null> {
  const path = join(PHOTOS_FOLDER, hash.slice(0, 2), hash)
  await mkdir(join(to, PHOTOS_FOLDER, hash.slice(0, 2)), { recursive: true })
  const from = photoPath(databasePath, hash)
  if (!(await exists(from))) return null
  await copyToDisk(from, join(to, path))
  const entry = await entryOf(to, path)
  if (entry.sha256 === hash) return entry
  await rm(join(to, path))
  return null
}

async function entryOf(folder: string, path: string): Promise<Manifest['files'][number]> {
  const file = join(folder, path)
  return { path, bytes: (await stat(file)).size, sha256: await hashOfFile(file) }
}

/** Asked first, so that a disk is not filled to the brim under a service that stores readings on it. */
async function refuseWithoutRoom(databasePath: string, folder: string): Promise<void> {
  let needed = SPARE_BYTES
  for (const file of [databasePath, `${databasePath}-wal`]) needed += await sizeOf(file)
  for (const hash of await keptPhotos(databasePath)) {
    needed += await sizeOf(photoPath(databasePath, hash))
  }
  const { bavail, bsize } = await statfs(folder)
  if (bavail * bsize < needed) {
    const mb = (bytes: number) => Math.ceil(bytes / 1_000_000).toLocaleString('en-US')
    throw new BackupRefused(
      `There is no room for a backup in ${folder}: it takes up to ${mb(needed)} MB, and ${mb(bavail * bsize)} MB are free. Free some space, or name another folder.`,
    )
  }
}

const sizeOf = (path: string): Promise<number> =>
  stat(path).then(
    ({ size }) => size,
    () => 0,
  )

function step(
  { signal, onProgress }: Pick<BackupOptions, 'signal' | 'onProgress'>,
  done: number,
  total: number,
  what: string,
): void {
  if (signal?.aborted) throw new BackupRefused('Stopped before it was whole; nothing was kept.')
  onProgress?.(done, total, what)
}

const programVersion = (): string =>
  (JSON.parse(readFileSync(join(packageFolder(), 'package.json'), 'utf8')) as { version: string }).version
