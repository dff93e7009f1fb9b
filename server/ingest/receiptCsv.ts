/** The receipt of an import as a file for a spreadsheet: each line that was not stored as it stands, why, and how to fix it. */
import { findImportLines } from '../store/imports.ts'
import type { Database } from '../store/open.ts'

const HEADER = ['line', 'outcome', 'problem', 'fix', 'text']
const LINES_AT_ONCE = 1000

/** In pieces, in the order of the file; a million refused lines never stand in memory. */
export async function* receiptCsv(db: Database, importId: number): AsyncGenerator<string> {
  yield `${HEADER.join()}\r\n`
  for (let after = { line: -1, part: -1 }; ; ) {
    const lines = await findImportLines(db, importId, after, LINES_AT_ONCE)
    const rows = lines.map((l) => [String(l.line), l.outcome, l.problem, l.fix, l.text].map(csvCell).join())
    if (rows.length > 0) yield `${rows.join('\r\n')}\r\n`
    const last = lines[LINES_AT_ONCE - 1]
    if (last === undefined) return
    after = last
  }
}

/** What spreadsheets take for the start of a formula: also in the wide forms of East Asia, and after blanks. */
const FORMULA = /^\s*[=+\-@\uFF1D\uFF0B\uFF0D\uFF20\t\r\n]/
const NEGATIVE_NUMBER = /^-\d+(\.\d+)?(e[+-]?\d+)?$/i

/** Quoted where needed. A cell from a stranger's file must not run as a formula when the receipt is opened. */
export function csvCell(text: string): string {
  const safe = FORMULA.test(text) && !NEGATIVE_NUMBER.test(text) ? `'${text}` : text
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe
}
