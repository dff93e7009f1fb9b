/** Photos lie beside the database, named by the SHA-256 of their bytes: the same picture is kept once. */
import { createHash } from 'node:crypto'
import { copyFile, mkdir, readFile, stat } from 'node:fs/promises'
import { dirname, join } from 'node:path'

export class PhotoRefused extends Error {
  override name = 'PhotoRefused'
}

/** Folder of the photos that belong to a database file. */
export const photosFolder = (databasePath: string): string => `${databasePath}.photos`

/** Where a photo lies, or will lie. */
export const photoPath = (databasePath: string, hash: string): string =>
  join(photosFolder(databasePath), hash.slice(0, 2), hash)

/**
 * Takes a photo in.
 * @param hash expected SHA-256 of its bytes, in hex
 * @throws PhotoRefused when the file is missing or its bytes are others
 */
export async function keepPhoto(databasePath: string, from: string, hash: string): Promise<void> {
  const bytes = await readFile(from).catch((cause: unknown) => {
    throw new PhotoRefused(`The photo ${from} cannot be read.`, { cause })
  })
  const found = createHash('sha256').update(bytes).digest('hex')
  if (found !== hash) {
    throw new PhotoRefused(`${from} is not the photo its name says (SHA-256 is ${found}). Copy the house folder again.`)
  }
  const to = photoPath(databasePath, hash)
  if (await exists(to)) return
  await mkdir(dirname(to), { recursive: true })
  await copyFile(from, to)
}

/** Hands a photo out; false when it is not kept here. */
export async function copyPhoto(databasePath: string, hash: string, to: string): Promise<boolean> {
  const from = photoPath(databasePath, hash)
  if (!(await exists(from))) return false
  await mkdir(dirname(to), { recursive: true })
  await copyFile(from, to)
  return true
}

const exists = (path: string): Promise<boolean> =>
  stat(path).then(
    () => true,
    () => false,
  )
