/** Which bytes stand for which letters, worked out from the head of the file. */
import type { Encoding } from './understanding.ts'

export interface EncodingFound {
  encoding: Encoding
  /** Bytes of the byte order mark, to be left out. */
  bomBytes: number
}

/**
 * UTF-8 and UTF-16 by byte order mark, UTF-16 without one by its zero bytes, otherwise UTF-8 where the bytes are valid
 * UTF-8 and Windows-1252 (a superset of Latin-1) where they are not.
 */
export function findEncoding(head: Uint8Array): EncodingFound {
  if (head[0] === 0xef && head[1] === 0xbb && head[2] === 0xbf) return { encoding: 'utf-8', bomBytes: 3 }
  if (head[0] === 0xff && head[1] === 0xfe) return { encoding: 'utf-16le', bomBytes: 2 }
  if (head[0] === 0xfe && head[1] === 0xff) return { encoding: 'utf-16be', bomBytes: 2 }
  const zeros = [0, 0]
  const looked = Math.min(head.length, 4096)
  for (let i = 0; i < looked; i++) if (head[i] === 0) zeros[i % 2]!++
  // Western text in UTF-16 has a zero in nearly every second byte and none in the others.
  if (zeros[1]! > looked * 0.3 && zeros[0]! < looked * 0.05) return { encoding: 'utf-16le', bomBytes: 0 }
  if (zeros[0]! > looked * 0.3 && zeros[1]! < looked * 0.05) return { encoding: 'utf-16be', bomBytes: 0 }
  return { encoding: isUtf8(head) ? 'utf-8' : 'windows-1252', bomBytes: 0 }
}

/** True for bytes no text file has: zeros outside UTF-16, or many control codes. */
export function looksBinary(head: Uint8Array, encoding: Encoding): boolean {
  if (encoding.startsWith('utf-16')) return false
  let controls = 0
  for (const byte of head) {
    if (byte === 0) return true
    if (byte < 32 && byte !== 9 && byte !== 10 && byte !== 13 && byte !== 12 && byte !== 26) controls++
  }
  return controls > head.length * 0.02
}

function isUtf8(head: Uint8Array): boolean {
  try {
    // Streaming, because the head may end in the middle of a letter.
    new TextDecoder('utf-8', { fatal: true }).decode(head, { stream: true })
    return true
  } catch {
    return false
  }
}

export const decodeText = (bytes: Uint8Array, encoding: Encoding): string => new TextDecoder(encoding).decode(bytes)

/**
 * Brings any encoding to bytes in which digits, blanks and delimiters are ASCII, which is all the row path looks at:
 * UTF-16 becomes UTF-8, the others pass as they are. The byte order mark is left out.
 */
export async function* asciiBytes(chunks: AsyncIterable<Buffer>, found: EncodingFound): AsyncGenerator<Buffer> {
  let toSkip = found.bomBytes
  const decoder = found.encoding.startsWith('utf-16') ? new TextDecoder(found.encoding) : null
  for await (const chunk of chunks) {
    const bytes = chunk.subarray(Math.min(toSkip, chunk.length))
    toSkip -= chunk.length - bytes.length
    if (!decoder) yield bytes
    else yield Buffer.from(decoder.decode(bytes, { stream: true }), 'utf8')
  }
  if (decoder) yield Buffer.from(decoder.decode(), 'utf8')
}

/** The encoding of what `asciiBytes` gives out. */
export const asciiEncoding = (encoding: Encoding): 'utf-8' | 'windows-1252' =>
  encoding === 'windows-1252' ? 'windows-1252' : 'utf-8'
