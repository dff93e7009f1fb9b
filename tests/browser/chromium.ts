/** The browser of the tests: from npm, unpacked once for its version; CHROMIUM_PATH names another. */
import { mkdirSync } from 'node:fs'
import { join } from 'node:path'
import chromium from '@sparticuz/chromium'

const VERSION = '143.0.4'
const CACHE = join(import.meta.dirname, '../../node_modules/.cache')

/** Our own: the package's would make one process of all, and closing a page then ends the browser. */
export const CHROMIUM_ARGS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
]

/** In parallel it would fail, and it takes any old file of that name it finds: once, in a folder of this version. */
export async function unpackedChromium(): Promise<string> {
  if (process.env.CHROMIUM_PATH) return process.env.CHROMIUM_PATH
  const folder = join(CACHE, `chromium-${VERSION}`)
  mkdirSync(folder, { recursive: true })
  const before = process.env.TMPDIR
  process.env.TMPDIR = folder
  try {
    return await chromium.executablePath()
  } finally {
    if (before === undefined) delete process.env.TMPDIR
    else process.env.TMPDIR = before
  }
}
