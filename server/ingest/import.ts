/**
 * Brings a file in: looks at it, asks what it cannot know, streams its rows through the intake in batches. Safe to
 * repeat at any point: what is stored already is recognized, so a file that was broken off is finished by sending it again.
 */
import { createHash } from 'node:crypto'
import { createReadStream, statSync } from 'node:fs'
import { basename } from 'node:path'
import {
  addImport,
  beginImport,
  findAnswers,
  findTimeZone,
  finishImport,
  type ImportCounts,
  type ImportLine,
  rememberAnswers,
} from '../store/imports.ts'
import type { Database } from '../store/open.ts'
import { lookAtFile } from './csv/look.ts'
import { readRows } from './csv/rows.ts'
import type { Answers, Batch, Look, RefusedLine, Source, Understanding } from './csv/understanding.ts'
import type { Intake } from './intake.ts'

export interface ImportArgs {
  path: string
  /** As the person knows it; the path's last part when left out. */
  fileName?: string
  houseId?: number | null
  /** Zone of local times that name none; the house's when left out. */
  timeZone?: string
  /** Probe id for each probe key found in the file; `*` stands for the only probe of a file. */
  probes: Record<string, number>
  answers?: Answers
  /** What a look at this very file, with these answers, has just understood; without it the file is looked at here. */
  understanding?: Understanding
  /** A row of `imports` made beforehand, so that a repeated job goes on under the same number. */
  importId?: number
}

export interface ImportDeps {
  db: Database
  intake: Intake
  now: () => number
}

export interface ImportControl {
  signal?: AbortSignal
  canceled?: () => boolean
  /** Bytes of the file as stored; told after the rows they held were committed. */
  onProgress?: (bytesDone: number, bytesTotal: number, counts: ImportCounts) => void
}

export type ImportResult = ImportCounts & { importId: number; state: 'stored' | 'canceled'; note: string | null }

/** The file cannot be brought in as it is; the message says what, where and how to fix. */
export class ImportRefused extends Error {
  override name = 'ImportRefused'
}

const READ_BYTES = 256 * 1024

/** @throws ImportRefused with a sentence; StoreError when the disk is full (what was acknowledged stays) */
export async function importFile(
  deps: ImportDeps,
  args: ImportArgs,
  control: ImportControl = {},
): Promise<ImportResult> {
  const { db, now } = deps
  const bytes = sizeOf(args.path)
  const fileName = args.fileName ?? basename(args.path)
  const importId = args.importId ?? (await addImport(db, importStart(args, fileName, bytes, now())))
  const finish = (state: 'stored' | 'canceled' | 'refused', note: string | null, fileHash: string | null) =>
    finishImport(db, importId, { state, note, fileHash, finishedAt: now() })
  try {
    const { understanding, answers } = await understand(deps, args, fileName, bytes, control.signal)
    const probeOf = assignProbes(understanding, args.probes)
    const storedBefore = await beginImport(db, importId, understanding)
    const { counts, brokeOff, fileHash } = await storeRows(deps, importId, args, understanding, probeOf, bytes, control)
    if (Object.keys(answers).length > 0) await rememberAnswers(db, understanding.shapeKey, answers, now())
    const state = fileHash === null ? 'canceled' : 'stored'
    const note = noteOf(state, counts, storedBefore, brokeOff)
    await finish(state, note, fileHash)
    return { importId, state, note, ...counts }
  } catch (error) {
    if (control.canceled?.()) {
      const note = 'Canceled before any reading was stored.'
      await finish('canceled', note, null)
      return { importId, state: 'canceled', note, stored: 0, repeated: 0, filled: 0, differs: 0, refused: 0 }
    }
    const state = error instanceof ImportRefused ? 'refused' : 'canceled'
    // On a full disk this small write may fail as well; the first trouble is the one to tell.
    await finish(state, error instanceof Error ? error.message : String(error), null).catch(() => {})
    throw error
  }
}

/** What `import` looked at and would ask: nothing is stored. */
export async function lookAt(
  deps: Pick<ImportDeps, 'db' | 'now'>,
  args: Pick<ImportArgs, 'path' | 'fileName' | 'houseId' | 'timeZone' | 'answers'>,
  signal?: AbortSignal,
): Promise<{ look: Look; answers: Answers }> {
  const source = fileSource(args.path, args.fileName ?? basename(args.path), sizeOf(args.path))
  const timeZone = args.timeZone ?? (args.houseId == null ? null : await findTimeZone(deps.db, args.houseId))
  if (timeZone === null) {
    throw new ImportRefused(
      args.houseId == null
        ? 'Local times need a time zone: name the house, or the zone (such as America/New_York).'
        : `There is no house ${args.houseId}. Choose one of the houses, or load it first.`,
    )
  }
  return lookAtSource(deps, source, { timeZone, answers: args.answers ?? {}, signal })
}

/** The same of bytes from anywhere; what the firm answered for this layout before counts where nothing else is said now. */
export async function lookAtSource(
  { db, now }: Pick<ImportDeps, 'db' | 'now'>,
  source: Source,
  asked: { timeZone: string; answers: Answers; signal?: AbortSignal; maxUnzippedBytes?: number },
): Promise<{ look: Look; answers: Answers }> {
  const look = await lookAtFile(source, { ...asked, now: now() })
  if (!look.ok) return { look, answers: asked.answers }
  const remembered = (await findAnswers(db, look.understanding.shapeKey)) as Answers | null
  const answers = { ...remembered, ...asked.answers } // what is said now counts over what was said before
  if (remembered === null || JSON.stringify(answers) === JSON.stringify(asked.answers)) {
    return { look, answers: asked.answers }
  }
  return { look: await lookAtFile(source, { ...asked, answers, now: now() }), answers }
}

async function understand(
  deps: ImportDeps,
  args: ImportArgs,
  fileName: string,
  bytes: number,
  signal: AbortSignal | undefined,
): Promise<{ understanding: Understanding; answers: Answers }> {
  if (args.understanding) return { understanding: args.understanding, answers: args.answers ?? {} }
  const { look, answers } = await lookAt(deps, { ...args, fileName }, signal)
  if (!look.ok) throw new ImportRefused(`${fileName} (${bytes} bytes): ${look.refusal.message} ${look.refusal.hint}`)
  if (!look.ready) {
    const open = look.questions.filter((question) => question.assumed === null)
    const asked = open.map((q) => `${q.why} (${q.key}: ${q.choices.map((choice) => choice.value).join(' or ')})`)
    throw new ImportRefused(`${fileName} cannot be read before this is answered: ${asked.join(' ')}`)
  }
  return { understanding: look.understanding, answers }
}

function assignProbes(understanding: Understanding, probes: Record<string, number>): Map<string, number> {
  const keys = understanding.probes.map((probe) => probe.probeKey)
  const assigned = new Map<string, number>()
  for (const key of keys) {
    const id = probes[key] ?? (keys.length === 1 ? probes['*'] : undefined)
    if (id !== undefined) assigned.set(key, id)
  }
  const missing = keys.filter((key) => !assigned.has(key))
  if (missing.length > 0) {
    throw new ImportRefused(
      `The file holds readings of ${keys.length === 1 ? 'one probe' : `${keys.length} probes`}, and ${missing.map((key) => `"${key}"`).join(', ')} ${missing.length === 1 ? 'has' : 'have'} no probe of the house. Say which probe each of them is.`,
    )
  }
  return assigned
}

async function storeRows(
  deps: ImportDeps,
  importId: number,
  args: ImportArgs,
  understanding: Understanding,
  probeOf: ReadonlyMap<string, number>,
  bytes: number,
  control: ImportControl,
): Promise<{ counts: ImportCounts; brokeOff: string | null; fileHash: string | null }> {
  const hash = createHash('sha256')
  const source = fileSource(args.path, basename(args.path), bytes, (chunk) => hash.update(chunk))
  const total: ImportCounts = { stored: 0, repeated: 0, filled: 0, differs: 0, refused: 0 }
  let bytesRead = 0
  // Canceling is looked for between batches, not inside the reader: what was stored must be counted.
  const rows = readRows(source, understanding, { onProgress: (read: number) => (bytesRead = read) })
  for (;;) {
    if (control.canceled?.()) {
      await rows.return(undefined as never)
      return { counts: total, brokeOff: null, fileHash: null }
    }
    const next = await rows.next()
    if (next.done) {
      const { brokeOff } = next.value
      return {
        counts: total,
        brokeOff: brokeOff && `${brokeOff.message} ${brokeOff.hint}`,
        fileHash: hash.digest('hex'),
      }
    }
    const counts = await storeBatch(deps.intake, importId, next.value, probeOf)
    for (const key of Object.keys(total) as (keyof ImportCounts)[]) total[key] += counts[key]
    control.onProgress?.(bytesRead, bytes, total)
  }
}

function storeBatch(intake: Intake, importId: number, batch: Batch, probeOf: ReadonlyMap<string, number>) {
  if (batch.kind === 'refused') return intake.receiveImported(importId, [], batch.lines.map(toImportLine))
  const columns = { at: batch.at, ...batch.columns }
  return intake.receiveImported(importId, [{ probeId: probeOf.get(batch.probeKey)!, columns, lines: batch.lines }], [])
}

const toImportLine = (refused: RefusedLine): ImportLine => ({
  line: refused.line,
  outcome: 'refused',
  problem: refused.reason,
  fix: refused.fix,
  text: refused.text,
})

function noteOf(
  state: 'stored' | 'canceled',
  counts: ImportCounts,
  storedBefore: number,
  brokeOff: string | null,
): string | null {
  const sentences: string[] = []
  if (state === 'canceled') {
    const kept = (counts.stored + counts.filled).toLocaleString('en-US')
    sentences.push(`Canceled: ${kept} readings were stored before and are kept. Import the file again to finish it.`)
  }
  if (brokeOff !== null) sentences.push(`The file breaks off; what came before is stored. ${brokeOff}`)
  if (storedBefore > 0) {
    const before = storedBefore.toLocaleString('en-US')
    sentences.push(`Taken up again after a stop: ${before} readings had been stored before it and count as repeated.`)
  }
  return sentences.length === 0 ? null : sentences.join(' ')
}

export const importStart = (args: ImportArgs, fileName: string, fileBytes: number, startedAt: number) => ({
  houseId: args.houseId ?? null,
  fileName,
  fileBytes,
  startedAt,
})

/** @throws ImportRefused when there is no such file */
export function sizeOf(path: string): number {
  const found = statSync(path, { throwIfNoEntry: false })
  if (found?.isFile() !== true) throw new ImportRefused(`There is no file ${path}. Upload or name it again.`)
  return found.size
}

const fileSource = (path: string, name: string, sizeBytes: number, onBytes?: (chunk: Buffer) => void): Source => ({
  name,
  sizeBytes,
  async *open() {
    for await (const chunk of createReadStream(path, { highWaterMark: READ_BYTES })) {
      onBytes?.(chunk)
      yield chunk
    }
  },
})
