/** The page that lies in every backup: what it is, what is in it, and the SHA-256 of each of its files and of itself. */
import { createHash } from 'node:crypto'
import { readFile, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import Type, { type Static } from 'typebox'
import { Value } from 'typebox/value'
import { BackupRefused } from './durable.ts'

export const MANIFEST_FILE = 'manifest.json'
export const DATABASE_FILE = 'underjoist.db'
export const PHOTOS_FOLDER = 'photos'

const FORMAT = 'underjoist backup 1'
const Hash = Type.String({ pattern: '^[0-9a-f]{64}$' })

/** Paths lead nowhere but into the backup. */
const FilePath = Type.String({ pattern: `^(${DATABASE_FILE}|${PHOTOS_FOLDER}/[0-9a-f]{2}/[0-9a-f]{64})$` })

const ManifestSchema = Type.Object({
  format: Type.Literal(FORMAT),
  /** Version of the program that made it. */
  program: Type.String(),
  /** The database it is of, where it was then: backups of others in the same folder are let alone. */
  database: Type.String(),
  /** UTC epoch ms, as `atUtc` in words. */
  at: Type.Integer({ minimum: 0 }),
  atUtc: Type.String(),
  migration: Type.Number(),
  rows: Type.Record(Type.String(), Type.Integer()),
  firstAt: Type.Union([Type.Number(), Type.Null()]),
  lastAt: Type.Union([Type.Number(), Type.Null()]),
  /** Photos that houses name and that were not there, or not whole, when this was made. */
  photosMissing: Type.Array(Hash),
  files: Type.Array(Type.Object({ path: FilePath, bytes: Type.Integer(), sha256: Hash })),
})

export type Manifest = Omit<Static<typeof ManifestSchema>, 'format' | 'atUtc'>

/** Written last, and forced onto the disk. */
export async function writeManifest(folder: string, manifest: Manifest): Promise<void> {
  await writeFile(join(folder, MANIFEST_FILE), textOf(manifest), { flag: 'wx', flush: true })
}

/** @throws BackupRefused when there is none, or it is not what was written, or of a newer program */
export async function readManifest(folder: string): Promise<Manifest> {
  const path = join(folder, MANIFEST_FILE)
  const bytes = await readFile(path).catch((cause: unknown) => {
    throw new BackupRefused(`${folder} is no backup: it has no ${MANIFEST_FILE} that can be read.`, { cause })
  })
  let found: unknown
  try {
    found = JSON.parse(bytes.toString('utf8'))
  } catch (cause) {
    throw damaged(path, cause)
  }
  const format = (found as { format?: unknown } | null)?.format
  if (typeof format === 'string' && format !== FORMAT && /^underjoist backup \d+$/.test(format)) {
    throw new BackupRefused(
      `${folder} was made by a newer version of Underjoist ("${format}"). Restore it with that one.`,
    )
  }
  if (!Value.Check(ManifestSchema, found)) throw damaged(path)
  const { format: _, atUtc: __, sha256: ___, ...manifest } = found as typeof found & { sha256?: unknown }
  // Whatever was changed, a space or a digit, the text is no longer the one that these values give.
  if (!Buffer.from(textOf(manifest)).equals(bytes)) throw damaged(path)
  return manifest
}

const damaged = (path: string, cause?: unknown) =>
  new BackupRefused(`${path} is damaged: it is not as it was written. Restore another backup.`, { cause })

function textOf({ program, database, at, ...rest }: Manifest): string {
  const atUtc = new Date(at).toISOString()
  const { migration, rows, firstAt, lastAt, photosMissing, files } = rest
  const body = { format: FORMAT, program, database, at, atUtc, migration, rows, firstAt, lastAt, photosMissing, files }
  const sha256 = createHash('sha256').update(JSON.stringify(body)).digest('hex')
  return `${JSON.stringify({ ...body, sha256 }, null, 2)}\n`
}
