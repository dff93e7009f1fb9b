/** Photos lie beside the database, named by the SHA-256 of their bytes: the same picture is kept once. */
import { createHash, randomUUID } from 'node:crypto'
import { copyFile, mkdir, readdir, readFile, rename, writeFile } from 'node:fs/promises'
import { dirname, join } from 'node:path'
import { exists } from './durable.ts'

export class PhotoRefused extends Error {
  override name = 'PhotoRefused'
}

/** Folder of the photos that belong to a database file. */
export const photosFolder = (databasePath: string): string => `${databasePath}.photos`

/** Where a photo lies, or will lie. */
export const photoPath = (databasePath: string, hash: string): string =>
  join(photosFolder(databasePath), hash.slice(0, 2), hash)

/** Hashes of all that lie there, also those that no house names now: what is undone may name them again. */
export async function keptPhotos(databasePath: string): Promise<string[]> {
  const names = await readdir(photosFolder(databasePath), { recursive: true }).catch(() => [])
  return names.flatMap((name) => /^([0-9a-f]{2})[\\/](\1[0-9a-f]{62})$/.exec(name)?.[2] ?? []).sort()
}

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

/**
 * Takes the bytes of a photo in; whole or not at all, also when the machine goes down meanwhile.
 * @returns their SHA-256 in hex
 */
export async function keepPhotoBytes(databasePath: string, bytes: Uint8Array): Promise<string> {
  const hash = createHash('sha256').update(bytes).digest('hex')
  const to = photoPath(databasePath, hash)
  if (await exists(to)) return hash
  await mkdir(dirname(to), { recursive: true })
  const aside = `${to}.${randomUUID()}`
  await writeFile(aside, bytes, { flush: true })
  await rename(aside, to)
  return hash
}

/** The bytes of a photo; null when it is not kept here. */
export const readPhoto = (databasePath: string, hash: string): Promise<Buffer | null> =>
  readFile(photoPath(databasePath, hash)).catch(() => null)

export type PhotoType = 'image/jpeg' | 'image/png' | 'image/webp'

/** What a photo is by its first bytes, whatever its name says; null for anything else. */
export function photoType(bytes: Uint8Array): PhotoType | null {
  const text = (from: number, to: number) => Buffer.from(bytes.subarray(from, to)).toString('latin1')
  if (text(0, 3) === '\xff\xd8\xff') return 'image/jpeg'
  if (text(0, 8) === '\x89PNG\r\n\x1a\n') return 'image/png'
  if (text(0, 4) === 'RIFF' && text(8, 12) === 'WEBP') return 'image/webp'
  return null
}

/** Hands a photo out; false when it is not kept here. */
export async function copyPhoto(databasePath: string, hash: string, to: string): Promise<boolean> {
  const from = photoPath(databasePath, hash)
  if (!(await exists(from))) return false
  await mkdir(dirname(to), { recursive: true })
  await copyFile(from, to)
  return true
}
