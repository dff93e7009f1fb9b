/** The parts of DEVELOPERS.md and README.md that are made from the code. */
import { readFileSync } from 'node:fs'
import { resolve } from 'node:path'
import { defaultsDocument } from '../../server/advice/thresholds.ts'
import { environmentDocument } from '../../server/cli/environment.ts'
import { CODES } from '../../server/http/errors.ts'

const codesDocument = (): string =>
  [
    '| code | status | meaning |',
    '|---|---|---|',
    ...Object.entries(CODES).map(([code, { status, means }]) => `| \`${code}\` | ${status} | ${means} |`),
  ].join('\n')

const ROOT = resolve(import.meta.dirname, '../..')

/** By document, the parts between its marks. */
export const DOCUMENTS: Record<string, Record<string, () => string>> = {
  [resolve(ROOT, 'DEVELOPERS.md')]: { codes: codesDocument, thresholds: defaultsDocument },
  [resolve(ROOT, 'README.md')]: { environment: environmentDocument },
}

/** The document as it should read. */
export function withGeneratedParts(path: string): string {
  let text = readFileSync(path, 'utf8')
  for (const [name, make] of Object.entries(DOCUMENTS[path]!)) {
    const marks = new RegExp(`(<!-- ${name}: begin[^>]*-->\\n)[^]*?(<!-- ${name}: end -->)`)
    if (!marks.test(text)) throw new Error(`${path} has lost the marks around its part "${name}".`)
    text = text.replace(marks, (_, begin: string, end: string) => `${begin}\n${make().trim()}\n\n${end}`)
  }
  return text
}
