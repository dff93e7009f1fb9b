/** The one gate: readings from HTTP, MQTT, stations and files all pass here, are checked, stored, and get a receipt. */
import { QUANTITY_NAMES, type Quantity, type ReadingColumns } from '../series/quantities.ts'
import { type ImportCounts, type ImportedPart, type ImportLine, storeImported } from '../store/imports.ts'
import type { Database } from '../store/open.ts'
import { storeReadings } from '../store/readings.ts'
import type { Difference } from '../store/writeReadings.ts'
import { checkReadings, type Refusal } from './checkReadings.ts'

/** What one probe said at one instant (`at` in UTC epoch ms), each value in its quantity's unit. */
export type Reading = { at: number } & Partial<Record<Quantity, number>>

/** A reading counts once as stored, repeated or filled, unless one of its values differs; the lists name each value. */
export interface Receipt {
  stored: number
  repeated: number
  filled: number
  differs: Difference[]
  refused: Refusal[]
}

/** Rows of a file for one probe, with the line each came from. */
export interface FileRows {
  probeId: number
  columns: ReadingColumns
  /** Line of the file, counted from 1, for each row. */
  lines: Uint32Array
}

export interface Intake {
  /**
   * Checks and stores readings of one probe; what it resolves for is on the disk.
   * @throws StoreError on an unknown probe or a full disk
   */
  receive(probeId: number, readings: readonly Reading[]): Promise<Receipt>
  /** The same in columns, for whoever has many. */
  receiveColumns(probeId: number, columns: ReadingColumns): Promise<Receipt>
  /**
   * At most 1,000 rows of a file, in one transaction with the file's counts and refused lines, so that the receipt of
   * an import that was killed is right about what is stored.
   * @param unreadable lines that did not even give a reading
   */
  receiveImported(importId: number, rows: readonly FileRows[], unreadable: readonly ImportLine[]): Promise<ImportCounts>
}

export function createIntake(db: Database, { now }: { now: () => number }): Intake {
  async function receiveColumns(probeId: number, columns: ReadingColumns): Promise<Receipt> {
    const { batch, rows, refused } = checkReadings(probeId, columns, now())
    const { stored, repeated, filled, differs } = await storeReadings(db, batch)
    return { stored, repeated, filled, differs: differs.map((d) => ({ ...d, row: rows[d.row]! })), refused }
  }

  return {
    receiveColumns,
    receive: (probeId, readings) => receiveColumns(probeId, toColumns(readings)),
    async receiveImported(importId, fileRows, unreadable) {
      const refused: ImportLine[] = [...unreadable]
      const parts: ImportedPart[] = fileRows.map(({ probeId, columns, lines }) => {
        const checked = checkReadings(probeId, columns, now())
        for (const refusal of checked.refused) refused.push(toImportLine(refusal, lines))
        return { batch: checked.batch, lines: Uint32Array.from(checked.rows, (row) => lines[row]!) }
      })
      return storeImported(db, importId, parts, refused)
    },
  }
}

function toColumns(readings: readonly Reading[]): ReadingColumns {
  const columns: ReadingColumns = { at: Float64Array.from(readings, (reading) => reading.at) }
  for (const quantity of QUANTITY_NAMES) {
    if (!readings.some((reading) => reading[quantity] !== undefined)) continue
    columns[quantity] = Float64Array.from(readings, (reading) => reading[quantity] ?? Number.NaN)
  }
  return columns
}

const toImportLine = (refusal: Refusal, lines: Uint32Array): ImportLine => ({
  line: lines[refusal.row]!,
  outcome: 'refused',
  problem: refusal.reason,
  fix: refusal.fix,
  text: Number.isNaN(refusal.value) ? '' : String(refusal.value),
})
