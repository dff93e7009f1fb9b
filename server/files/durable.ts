/** Files that are on the disk once a promise has resolved, and what the disk has against it, in sentences. */
import { createHash } from 'node:crypto'
import { createReadStream } from 'node:fs'
import { copyFile, mkdir, open, readdir, stat } from 'node:fs/promises'
import { join } from 'node:path'

/** A backup cannot be made, or cannot be restored. The message is a sentence for people. */
export class BackupRefused extends Error {
  override name = 'BackupRefused'
}

/** SHA-256 of a file's bytes, in hex. */
export async function hashOfFile(path: string): Promise<string> {
  const hash = createHash('sha256')
  for await (const chunk of createReadStream(path)) hash.update(chunk as Buffer)
  return hash.digest('hex')
}

/** Forces a file, or the names in a folder, onto the disk. */
export async function flushToDisk(path: string): Promise<void> {
  const handle = await open(path, 'r')
  try {
    await handle.sync()
  } finally {
    await handle.close()
  }
}

/** The names in a folder and in all folders below it: a file that is on the disk is lost without its name. */
export async function flushNames(folder: string): Promise<void> {
  for (const entry of await readdir(folder, { withFileTypes: true })) {
    if (entry.isDirectory()) await flushNames(join(folder, entry.name))
  }
  await flushToDisk(folder)
}

export async function copyToDisk(from: string, to: string): Promise<void> {
  await copyFile(from, to)
  await flushToDisk(to)
}

/**
 * One level only: where the folder above is not there, a disk may be missing, or a name mistyped.
 * @returns whether it was not there before
 */
export async function makeFolder(path: string): Promise<boolean> {
  try {
    await mkdir(path)
    return true
  } catch (error) {
    const isFolder = await stat(path).then(
      (found) => found.isDirectory(),
      () => false,
    )
    if (!isFolder) throw error
    return false
  }
}

export const exists = (path: string): Promise<boolean> =>
  stat(path).then(
    () => true,
    () => false,
  )

const NO_ROOM = ['ENOSPC', 'EDQUOT', 'EFBIG', 'SQLITE_FULL']
const NOT_ALLOWED = ['EACCES', 'EPERM', 'EROFS', 'SQLITE_READONLY', 'SQLITE_CANTOPEN']
const NO_FOLDER = ['ENOTDIR', 'EEXIST', 'ENOENT']

/** What went wrong while `folder` was written to, as a sentence where a person can mend it; else the error as it is. */
export function writeTrouble(error: unknown, folder: string): unknown {
  const { code, message } = error as { code?: unknown; message?: string }
  if (typeof code !== 'string') return error
  const refused = (sentence: string) => new BackupRefused(sentence, { cause: error })
  if (NO_ROOM.includes(code)) {
    return refused(
      `There is no room left in ${folder}. Nothing was kept there; free some space, or name another folder.`,
    )
  }
  if (NOT_ALLOWED.includes(code)) {
    return refused(`${folder} may not be written to (${message}). Give the right to write, or name another folder.`)
  }
  if (NO_FOLDER.includes(code)) return refused(`${folder} cannot be used as a folder (${message}). Name another one.`)
  if (code === 'EIO' || code.startsWith('SQLITE_IOERR')) {
    return refused(`The disk of ${folder} failed, or has no room left (${message}). Nothing was kept there.`)
  }
  return error
}
