/** One file brought in: its row, its counts, the lines that were not stored as they stand, and the firm's answers. */
import { QUANTITIES } from '../series/quantities.ts'
import { StoreError } from './errors.ts'
import type { Database } from './open.ts'
import type { IMPORT_STATES } from './schema.ts'
import type { StepBatch } from './steps.ts'
import { inTransaction, statement } from './unitsOfWork.ts'
import { type Difference, writeReadings } from './writeReadings.ts'

export type ImportState = (typeof IMPORT_STATES)[number]

export interface ImportRow {
  id: number
  houseId: number | null
  fileName: string
  fileHash: string | null
  fileBytes: number
  state: ImportState
  understanding: unknown
  stored: number
  repeated: number
  filled: number
  differs: number
  refused: number
  startedAt: number
  finishedAt: number | null
  note: string | null
}

export interface ImportLine {
  /** Line of the file, counted from 1. */
  line: number
  outcome: 'refused' | 'differs'
  problem: string
  fix: string
  text: string
}

/** Rows for one probe, with the line of the file for each. */
export interface ImportedPart {
  batch: StepBatch
  lines: Uint32Array
}

/** Readings, each once as stored, repeated, filled or differing; `refused` counts whole lines and single values. */
export interface ImportCounts {
  stored: number
  repeated: number
  filled: number
  differs: number
  refused: number
}

/** @throws StoreError when there is no such house */
export async function addImport(
  db: Database,
  start: { houseId: number | null; fileName: string; fileBytes: number; startedAt: number },
): Promise<number> {
  if (start.houseId !== null && (await findTimeZone(db, start.houseId)) === null) {
    throw new StoreError(
      'unknown house',
      `There is no house ${start.houseId}.`,
      'Choose one of the houses, or load it.',
    )
  }
  return inTransaction(db, () =>
    Number(
      statement(
        db,
        `insert into imports (house_id, file_name, file_bytes, state, understanding, started_at)
         values (?, ?, ?, 'storing', '{}', ?)`,
      ).run(start.houseId, start.fileName, start.fileBytes, start.startedAt).lastInsertRowid,
    ),
  )
}

/**
 * Before the first row: what was understood of the file. Counts and lines of an attempt that was stopped are dropped,
 * for the file is read again from its first line.
 * @returns how many readings the stopped attempt had stored
 */
export async function beginImport(db: Database, id: number, understanding: unknown): Promise<number> {
  return inTransaction(db, () => {
    const before = statement(db, 'select stored from imports where id = ?').pluck().get(id) as number
    statement(
      db,
      `update imports set state = 'storing', understanding = ?, stored = 0, repeated = 0, filled = 0,
       differs = 0, refused = 0, finished_at = null, note = null where id = ?`,
    ).run(JSON.stringify(understanding), id)
    statement(db, 'delete from import_lines where import_id = ?').run(id)
    return before
  })
}

/** Rows, counts and lines in one transaction; the caller hands over at most 1,000 rows. */
export async function storeImported(
  db: Database,
  importId: number,
  parts: readonly ImportedPart[],
  refused: readonly ImportLine[],
): Promise<ImportCounts> {
  return inTransaction(db, () => {
    const counts: ImportCounts = { stored: 0, repeated: 0, filled: 0, differs: 0, refused: refused.length }
    const lines = [...refused]
    for (const { batch, lines: lineOf } of parts) {
      const outcome = writeReadings(db, batch, importId)
      counts.stored += outcome.stored
      counts.repeated += outcome.repeated
      counts.filled += outcome.filled
      counts.differs += outcome.differingRows
      for (const difference of outcome.differs) lines.push(differingLine(difference, lineOf))
    }
    statement(
      db,
      `update imports set stored = stored + ?, repeated = repeated + ?, filled = filled + ?, differs = differs + ?,
       refused = refused + ? where id = ?`,
    ).run(counts.stored, counts.repeated, counts.filled, counts.differs, counts.refused, importId)
    const add = statement(
      db,
      `insert into import_lines (import_id, line, part, outcome, problem, fix, text) values (?, ?,
       (select coalesce(max(part) + 1, 0) from import_lines where import_id = ? and line = ?), ?, ?, ?, ?)`,
    )
    for (const { line, outcome, problem, fix, text } of lines) {
      add.run(importId, line, importId, line, outcome, problem, fix, text)
    }
    return counts
  })
}

function differingLine(difference: Difference, lineOf: Uint32Array): ImportLine {
  const { label, unit } = QUANTITIES[difference.quantity]
  return {
    line: lineOf[difference.row]!,
    outcome: 'differs',
    problem: `${label} at ${new Date(difference.at).toISOString()} is ${difference.offered} here, and ${difference.kept} (${unit}) is stored already.`,
    fix: 'The first value stays. If this one is right, find out why the two sources disagree, and record a correction.',
    text: String(difference.offered),
  }
}

export async function finishImport(
  db: Database,
  id: number,
  end: { state: ImportState; note: string | null; fileHash: string | null; finishedAt: number },
): Promise<void> {
  inTransaction(db, () =>
    statement(db, 'update imports set state = ?, note = ?, file_hash = ?, finished_at = ? where id = ?').run(
      end.state,
      end.note,
      end.fileHash,
      end.finishedAt,
      id,
    ),
  )
}

export async function findImport(db: Database, id: number): Promise<ImportRow | null> {
  const row = statement(db, `${SELECT_IMPORT} where id = ?`).get(id)
  return row === undefined ? null : toImport(row)
}

/** The zone local times of a house's files are read in; null when there is no such house. */
export async function findTimeZone(db: Database, houseId: number): Promise<string | null> {
  return (statement(db, 'select time_zone from houses where id = ?').pluck().get(houseId) as string | undefined) ?? null
}

/** The import of a house that stored these very bytes, if any still stands. */
export async function findImportOfBytes(db: Database, houseId: number, sha256: string): Promise<number | null> {
  const found = statement(
    db,
    "select id from imports where house_id = ? and file_hash = ? and state = 'stored' order by id desc limit 1",
  ).pluck()
  return (found.get(houseId, sha256) as number | undefined) ?? null
}

/** Newest first. */
export async function findImports(db: Database, houseId: number): Promise<ImportRow[]> {
  return statement(db, `${SELECT_IMPORT} where house_id = ? order by id desc`).all(houseId).map(toImport)
}

/** In the order of the file, at most `limit` lines after (line, part). */
export async function findImportLines(
  db: Database,
  importId: number,
  after: { line: number; part: number },
  limit: number,
): Promise<(ImportLine & { part: number })[]> {
  return statement(
    db,
    `select line, part, outcome, problem, fix, text from import_lines where import_id = ? and (line, part) > (?, ?)
     order by line, part limit cast(? as integer)`,
  ).all(importId, after.line, after.part, limit) as (ImportLine & { part: number })[]
}

/** What the firm answered when a file of this layout was last brought in. */
export async function findAnswers(db: Database, shapeKey: string): Promise<unknown> {
  const text = statement(db, 'select answers from import_answers where shape_key = ?').pluck().get(shapeKey)
  return text === undefined ? null : JSON.parse(text as string)
}

export async function rememberAnswers(db: Database, shapeKey: string, answers: unknown, at: number): Promise<void> {
  inTransaction(db, () =>
    statement(
      db,
      `insert into import_answers (shape_key, answers, at) values (?, ?, ?)
       on conflict (shape_key) do update set answers = excluded.answers, at = excluded.at`,
    ).run(shapeKey, JSON.stringify(answers), at),
  )
}

const SELECT_IMPORT = `select id, house_id houseId, file_name fileName, file_hash fileHash, file_bytes fileBytes, state,
  understanding, stored, repeated, filled, differs, refused, started_at startedAt, finished_at finishedAt, note from imports`

const toImport = (row: unknown): ImportRow => {
  const found = row as ImportRow & { understanding: string }
  return { ...found, understanding: JSON.parse(found.understanding) }
}
