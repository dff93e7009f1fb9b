/** Files that were dropped and are not stored as readings yet: kept aside for a day, under names of our own. */
import { createHash, randomUUID } from 'node:crypto'
import { createReadStream, createWriteStream } from 'node:fs'
import { mkdir, readdir, readFile, rm, stat, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import { createInterface } from 'node:readline'
import type { Readable } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import { createGunzip } from 'node:zlib'

export interface KeptFile {
  /** Its handle. */
  file: string
  /** As the person knows it; never part of a path. */
  name: string
  bytes: number
  sha256: string
  /** Where its bytes are. */
  path: string
}

type Facts = Pick<KeptFile, 'name' | 'bytes' | 'sha256'>

export interface KeptFiles {
  /**
   * @param of whose it is, such as a house's: by another's name it is not found
   * @throws what the stream throws; nothing is kept then
   */
  keep(of: string, name: string, bytes: Readable): Promise<KeptFile>
  find(of: string, file: string): Promise<KeptFile | null>
  drop(file: string): Promise<void>
  /** Removes what was kept before this instant, UTC epoch ms. */
  dropOlderThan(at: number): Promise<void>
}

const HANDLE = /^[0-9a-f-]{36}$/
const GZIP_START = Buffer.of(0x1f, 0x8b)

/** @param folder made when the first file comes */
export function createKeptFiles(folder: string): KeptFiles {
  const bytesPath = (file: string) => join(folder, `${file}.bytes`)
  const factsPath = (file: string) => join(folder, `${file}.json`)
  const drop = async (file: string) => {
    for (const path of [bytesPath(file), factsPath(file)]) await rm(path, { force: true })
  }
  return {
    async keep(of, name, stream) {
      await mkdir(folder, { recursive: true })
      const file = randomUUID()
      const hash = createHash('sha256')
      let bytes = 0
      stream.on('data', (chunk: Buffer) => {
        hash.update(chunk)
        bytes += chunk.length
      })
      try {
        await pipeline(stream, createWriteStream(bytesPath(file), { flags: 'wx' }))
        const facts = { name, bytes, sha256: hash.digest('hex') }
        await writeFile(factsPath(file), JSON.stringify({ of, ...facts }))
        return { file, path: bytesPath(file), ...facts }
      } catch (error) {
        await drop(file)
        throw error
      }
    },
    async find(of, file) {
      if (!HANDLE.test(file)) return null
      try {
        const { of: whose, ...facts } = JSON.parse(await readFile(factsPath(file), 'utf8')) as { of: string } & Facts
        return whose === of ? { file, path: bytesPath(file), ...facts } : null
      } catch {
        return null // gone after its day, or never there
      }
    },
    drop,
    async dropOlderThan(at) {
      const names = await readdir(folder).catch(() => [])
      for (const name of names) {
        const { mtimeMs } = await stat(join(folder, name)).catch(() => ({ mtimeMs: Number.POSITIVE_INFINITY }))
        if (mtimeMs < at) await rm(join(folder, name), { force: true })
      }
    },
  }
}

export interface HeadLine {
  line: number
  text: string
}

const LONGEST_LINE = 200

/** The first lines as they stand, unzipped where the file is; bytes that are no text are shown as replacement marks. */
export async function headLines(path: string, most: number): Promise<HeadLine[]> {
  const raw = createReadStream(path, { end: 256 * 1024 })
  const start = await firstBytes(path)
  const text = start.equals(GZIP_START) ? raw.pipe(createGunzip()) : raw
  const lines: HeadLine[] = []
  const reader = createInterface({ input: text, crlfDelay: Number.POSITIVE_INFINITY })
  text.on('error', () => reader.close()) // a cut gzip ends here; what came before is shown
  for await (const line of reader) {
    lines.push({ line: lines.length + 1, text: line.slice(0, LONGEST_LINE) })
    if (lines.length >= most) break
  }
  raw.destroy()
  return lines
}

async function firstBytes(path: string): Promise<Buffer> {
  const chunks: Buffer[] = []
  for await (const chunk of createReadStream(path, { end: 1 })) chunks.push(chunk as Buffer)
  return Buffer.concat(chunks)
}
