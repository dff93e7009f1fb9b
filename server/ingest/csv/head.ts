/** The beginning of a file as text lines: all that layout is worked out from. */
import { asciiBytes, asciiEncoding, decodeText, findEncoding, looksBinary } from './encoding.ts'
import { FileTrouble } from './trouble.ts'
import type { Encoding, Source } from './understanding.ts'
import { type ByteLimits, isGzip, plainBytes } from './unzip.ts'

const HEAD_BYTES = 262_144

export interface Head {
  encoding: Encoding
  bomBytes: number
  gzip: boolean
  lineEnd: 10 | 13
  lines: string[]
  /** True when the file has no more lines than these. */
  whole: boolean
}

/** @throws FileTrouble when the file is empty, binary, too large or a damaged zip */
export async function readHead(source: Source, limits: ByteLimits): Promise<Head> {
  const gzip = await startsAsGzip(source)
  const { bytes, whole } = await firstBytes(source, limits)
  if (bytes.length === 0) {
    throw new FileTrouble(
      'EMPTY',
      `${source.name} is empty.`,
      'Export the readings again and check the size of the file.',
    )
  }
  const found = findEncoding(bytes)
  if (looksBinary(bytes, found.encoding)) {
    throw new FileTrouble(
      'BINARY',
      `${source.name} is not a text file.`,
      'Export the readings as CSV or text; a spreadsheet can save its sheet as CSV.',
    )
  }
  const pieces: Buffer[] = []
  for await (const piece of asciiBytes(once(bytes), found)) pieces.push(piece)
  const text = decodeText(Buffer.concat(pieces), asciiEncoding(found.encoding))
  if (text.trim() === '') {
    throw new FileTrouble('EMPTY', `${source.name} holds only blanks.`, 'Export the readings again.')
  }
  const lineEnd = text.includes('\n') || !text.includes('\r') ? 10 : 13
  const lines = text.split(lineEnd === 10 ? '\n' : '\r').map((line) => (line.endsWith('\r') ? line.slice(0, -1) : line))
  const last = lines.pop()
  if (whole && last) lines.push(last)
  return { ...found, gzip, lineEnd, lines, whole }
}

async function startsAsGzip(source: Source): Promise<boolean> {
  let head: Buffer = Buffer.alloc(0)
  for await (const chunk of source.open()) {
    head = Buffer.concat([head, chunk])
    if (head.length >= 2) break
  }
  return isGzip(head)
}

async function firstBytes(source: Source, limits: ByteLimits): Promise<{ bytes: Buffer; whole: boolean }> {
  const pieces: Buffer[] = []
  let length = 0
  for await (const piece of plainBytes(source, limits)) {
    pieces.push(piece)
    length += piece.length
    if (length >= HEAD_BYTES) return { bytes: Buffer.concat(pieces).subarray(0, HEAD_BYTES), whole: false }
  }
  return { bytes: Buffer.concat(pieces), whole: true }
}

async function* once(bytes: Buffer): AsyncGenerator<Buffer> {
  yield bytes
}
