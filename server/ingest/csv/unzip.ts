/** Bytes of a file as text bytes: unzipped where the file is gzip, within limits, never more than a piece in memory. */
import { createGunzip } from 'node:zlib'
import { FileTrouble } from './trouble.ts'
import type { Source } from './understanding.ts'

export const DEFAULT_MAX_BYTES = 200_000_000
export const DEFAULT_MAX_UNZIPPED_BYTES = 1_000_000_000

/** Real logger files zip 5 to 60 times; beyond this, past the first megabytes, the file was made to fill a disk. */
const MAX_ZIP_RATIO = 250
const RATIO_COUNTS_FROM_BYTES = 20_000_000
/** Small input pieces keep what one piece can blow up to (about 1,000 times) within 16 MB. */
const ZIPPED_PIECE_BYTES = 16_384

export interface ByteLimits {
  maxBytes?: number
  maxUnzippedBytes?: number
  signal?: AbortSignal
  onProgress?: (bytesRead: number) => void
}

export const isGzip = (head: Uint8Array): boolean => head[0] === 0x1f && head[1] === 0x8b

/**
 * Streams a source's plain bytes.
 *
 * @throws FileTrouble over a limit, or when the zip is damaged or broken off (after all that could be unzipped)
 */
export async function* plainBytes(source: Source, limits: ByteLimits = {}): AsyncGenerator<Buffer, void, undefined> {
  const counted = countBytes(source, limits)
  // The mark of gzip is two bytes, and a slow source may give one at a time.
  let first: Buffer = Buffer.alloc(0)
  while (first.length < 2) {
    const next = await counted.next()
    if (next.done) break
    first = Buffer.concat([first, next.value])
  }
  if (first.length === 0) return
  const chunks = prepend(first, counted)
  if (isGzip(first)) yield* unzip(chunks, limits.maxUnzippedBytes ?? DEFAULT_MAX_UNZIPPED_BYTES)
  else yield* chunks
}

async function* countBytes(source: Source, limits: ByteLimits): AsyncGenerator<Buffer, void, undefined> {
  const maxBytes = limits.maxBytes ?? DEFAULT_MAX_BYTES
  const tooLarge = () =>
    new FileTrouble(
      'TOO_LARGE',
      `${source.name} is larger than ${sizeInWords(maxBytes)}.`,
      'Split the file, for example by year, and import the parts one after the other.',
    )
  if ((source.sizeBytes ?? 0) > maxBytes) throw tooLarge()
  let bytesRead = 0
  for await (const chunk of source.open()) {
    limits.signal?.throwIfAborted()
    if (chunk.length === 0) continue
    bytesRead += chunk.length
    if (bytesRead > maxBytes) throw tooLarge()
    yield Buffer.isBuffer(chunk) ? chunk : Buffer.from(chunk.buffer, chunk.byteOffset, chunk.byteLength)
    limits.onProgress?.(bytesRead)
  }
}

async function* prepend(first: Buffer, rest: AsyncGenerator<Buffer, void, undefined>) {
  yield first
  yield* rest
}

async function* unzip(chunks: AsyncIterable<Buffer>, maxUnzippedBytes: number): AsyncGenerator<Buffer> {
  const gunzip = createGunzip({ chunkSize: 65_536 })
  const unzipped: Buffer[] = []
  let failure: Error | null = null
  let wake: () => void = () => {}
  let [bytesIn, bytesOut] = [0, 0]
  gunzip.on('error', (error) => {
    failure ??= error
  })
  // After an error the stream calls no write back any more; it only closes.
  gunzip.on('close', () => wake())
  const settled = (start: (done: () => void) => void): Promise<void> =>
    new Promise((resolve) => {
      wake = resolve
      start(resolve)
    })
  gunzip.on('data', (piece: Buffer) => {
    bytesOut += piece.length
    const bomb = bytesOut > RATIO_COUNTS_FROM_BYTES && bytesOut > bytesIn * MAX_ZIP_RATIO
    if (bytesOut > maxUnzippedBytes || bomb) gunzip.destroy(unzipsTooLarge(maxUnzippedBytes))
    else unzipped.push(piece)
  })
  try {
    for await (const chunk of chunks) {
      for (let from = 0; from < chunk.length && !failure; from += ZIPPED_PIECE_BYTES) {
        const piece = chunk.subarray(from, from + ZIPPED_PIECE_BYTES)
        bytesIn += piece.length
        await settled((done) => gunzip.write(piece, done))
        while (unzipped.length > 0) yield unzipped.shift()!
      }
      if (failure) break
    }
    if (!failure) await settled(() => gunzip.end())
    while (unzipped.length > 0) yield unzipped.shift()!
    if (failure) throw inWords(failure)
  } finally {
    gunzip.destroy()
  }
}

const unzipsTooLarge = (maxBytes: number) =>
  new FileTrouble(
    'UNZIPS_TOO_LARGE',
    `The zipped file unpacks to more than ${sizeInWords(maxBytes)}, or to far more than logger files do.`,
    'Check where the file comes from; if it is right, unpack and split it.',
  )

function inWords(error: Error & { code?: string }): FileTrouble {
  if (error instanceof FileTrouble) return error
  if (error.code === 'Z_BUF_ERROR') {
    return new FileTrouble(
      'TRUNCATED_GZIP',
      'The zipped file breaks off before its end.',
      'Copy or download it again; it was cut short on the way.',
    )
  }
  return new FileTrouble(
    'BAD_GZIP',
    'The file starts like a gzip file but cannot be unpacked.',
    'Export it again, or send it unpacked.',
  )
}

const sizeInWords = (bytes: number): string =>
  bytes >= 1_000_000 ? `${Math.round(bytes / 1_000_000).toLocaleString('en-US')} MB` : `${bytes} bytes`
