/** Reads the whole database and says what is wrong with it, in sentences. Writes nothing. */
import type { ReadingColumns } from '../series/quantities.ts'
import { explained } from './errors.ts'
import type { Database } from './open.ts'
import { findSpans, readColumns } from './readings.ts'
import { statement, yieldToOthers } from './unitsOfWork.ts'

export interface CheckReport {
  problems: string[]
  probes: number
  readings: number
  hours: number
}

/** Hour values as the table `hourly` names its columns; every probe's own recomputation is compared with what is stored. */
export type HourRow = { at: number } & Record<string, number | null>

/**
 * Builds one probe's hour values anew from its readings.
 * Handed in, because corrections and quality marks belong to whoever builds the stored ones.
 */
export type RebuildHours = (probeId: number, readings: ReadingColumns) => Promise<HourRow[]> | HourRow[]

/** Stored and rebuilt hour values come from the same doubles; only the last bits may differ between two builds. */
const SAME_WITHIN = 1e-9
const MOST_PROBLEMS = 50

/** @param rebuild without it the hour values are not compared */
export async function checkDatabase(db: Database, rebuild: RebuildHours | null): Promise<CheckReport> {
  const report: CheckReport = { problems: [], probes: 0, readings: 0, hours: 0 }
  for (const line of db.raw.pragma(`integrity_check(${MOST_PROBLEMS})`) as { integrity_check: string }[]) {
    if (line.integrity_check !== 'ok') report.problems.push(`The file is damaged: ${line.integrity_check}.`)
  }
  // Nothing further can be believed in a damaged file.
  if (report.problems.length > 0) return report
  for (const line of db.raw.pragma('foreign_key_check') as { table: string; rowid: number; parent: string }[]) {
    report.problems.push(`Row ${line.rowid} of ${line.table} points to a row of ${line.parent} that is not there.`)
  }
  const orphans = statement(db, 'select distinct probe_id from readings where probe_id not in (select id from probes)')
  for (const probeId of orphans.pluck().all() as number[]) {
    report.problems.push(`There are readings of probe ${probeId}, which is not there.`)
  }
  const probeIds = statement(db, 'select id from probes order by id').pluck().all() as number[]
  for (const span of await findSpans(db, probeIds)) {
    report.probes++
    report.readings += span.count
    if (rebuild !== null) {
      await compareHours(db, span.probeId, await readColumns(db, span.probeId, span.from, span.to), rebuild, report)
    }
    await yieldToOthers()
  }
  report.problems.splice(MOST_PROBLEMS)
  return report
}

async function compareHours(
  db: Database,
  probeId: number,
  readings: ReadingColumns,
  rebuild: RebuildHours,
  report: CheckReport,
): Promise<void> {
  const due = statement(db, 'select from_at, to_at from hourly_due where probe_id = ?').get(probeId) as
    | { from_at: number; to_at: number }
    | undefined
  const isDue = (at: number) => due !== undefined && at + HOUR_MS > due.from_at && at < due.to_at
  const stored = statement(db, 'select * from hourly where probe_id = ? order by at').all(probeId) as HourRow[]
  const rebuilt = new Map((await rebuild(probeId, readings)).map((row) => [row.at, row]))
  report.hours += stored.length
  for (const row of stored) {
    const expected = rebuilt.get(row.at)
    rebuilt.delete(row.at)
    if (isDue(row.at)) continue
    const where = `Hour ${new Date(row.at).toISOString()} of probe ${probeId}`
    if (expected === undefined) {
      report.problems.push(`${where} is stored, and its readings give no such hour.`)
      continue
    }
    for (const [column, value] of Object.entries(expected)) {
      if (!same(row[column] ?? null, value)) {
        report.problems.push(`${where} has ${column} ${row[column]}, and its readings give ${value}.`)
      }
    }
  }
  for (const at of rebuilt.keys()) {
    if (!isDue(at)) report.problems.push(`Hour ${new Date(at).toISOString()} of probe ${probeId} is missing.`)
  }
}

const HOUR_MS = 3600_000

const same = (a: number | null, b: number | null): boolean =>
  a === b || (a !== null && b !== null && Math.abs(a - b) <= SAME_WITHIN * Math.max(1, Math.abs(a), Math.abs(b)))

/** What keeps the database from taking readings right now, in sentences; answers at once. Writes nothing that stays. */
export async function findTroubles(db: Database): Promise<string[]> {
  const patience = db.raw.pragma('busy_timeout', { simple: true })
  try {
    db.raw.pragma('busy_timeout = 0') // whoever asks after the health must not wait for a lock with everyone behind
    db.raw.exec('begin immediate; rollback')
    return []
  } catch (error) {
    return [(explained(error) as Error).message]
  } finally {
    db.raw.pragma(`busy_timeout = ${patience}`)
  }
}
