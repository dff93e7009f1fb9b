import { mkdirSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { gzipSync } from 'node:zlib'
import { demoFiles } from './demoFiles.ts'

/** Writes the demo house anew: `npx tsx demo-data/generate.ts`. Same code, same bytes. */
const folder = dirname(fileURLToPath(import.meta.url))
let total = 0
for (const [path, text] of Object.entries(demoFiles())) {
  const target = join(folder, path)
  const bytes = path.endsWith('.gz') ? gzipped(text) : Buffer.from(text)
  mkdirSync(dirname(target), { recursive: true })
  writeFileSync(target, bytes)
  total += bytes.length
  console.log(`${path}  ${Math.round(bytes.length / 1024)} KB`)
}
console.log(`total ${Math.round(total / 1024)} KB`)

/** The gzip header names the operating system it was made on; 255 means unknown, so that every machine writes the same. */
function gzipped(text: string): Buffer {
  const bytes = gzipSync(text, { level: 9 })
  bytes[9] = 255
  return bytes
}
