/** The parts of DEVELOPERS.md that are made from the code. */
import { readFileSync } from 'node:fs'
import { resolve } from 'node:path'
import { defaultsDocument } from '../../server/advice/thresholds.ts'
import { CODES } from '../../server/http/errors.ts'

export const DEVELOPERS = resolve(import.meta.dirname, '../../DEVELOPERS.md')

const codesDocument = (): string =>
  [
    '| code | status | meaning |',
    '|---|---|---|',
    ...Object.entries(CODES).map(([code, { status, means }]) => `| \`${code}\` | ${status} | ${means} |`),
  ].join('\n')

const PARTS: Record<string, () => string> = { codes: codesDocument, thresholds: defaultsDocument }

/** DEVELOPERS.md as it should read. */
export function developersWithGeneratedParts(): string {
  let text = readFileSync(DEVELOPERS, 'utf8')
  for (const [name, make] of Object.entries(PARTS)) {
    const marks = new RegExp(`(<!-- ${name}: begin[^>]*-->\\n)[^]*?(<!-- ${name}: end -->)`)
    if (!marks.test(text)) throw new Error(`DEVELOPERS.md has lost the marks around its part "${name}".`)
    text = text.replace(marks, (_, begin: string, end: string) => `${begin}\n${make().trim()}\n\n${end}`)
  }
  return text
}
