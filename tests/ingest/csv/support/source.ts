/** Sources for tests: from text, from bytes cut in pieces, from a file; and all that can be read from one. */
import { createReadStream, existsSync, statSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { lookAtFile } from '../../../../server/ingest/csv/look.ts'
import { readRows } from '../../../../server/ingest/csv/rows.ts'
import type {
  Look,
  LookContext,
  ReadOptions,
  ReadSummary,
  RefusedLine,
  Source,
  Understanding,
} from '../../../../server/ingest/csv/understanding.ts'
import { QUANTITY_NAMES, type Quantity } from '../../../../server/series/quantities.ts'

export const NOW = Date.UTC(2026, 0, 1)
export const CONTEXT: LookContext = { timeZone: 'America/New_York', now: NOW }

/** A file that arrives in pieces of `pieceBytes`. */
export function sourceOf(content: string | Uint8Array, name = 'readings.csv', pieceBytes = 65_536): Source {
  const bytes = typeof content === 'string' ? Buffer.from(content) : Buffer.from(content)
  return {
    name,
    sizeBytes: bytes.length,
    async *open() {
      for (let from = 0; from < bytes.length; from += pieceBytes) yield bytes.subarray(from, from + pieceBytes)
    },
  }
}

export const fileSource = (path: string): Source => ({
  name: path.split('/').at(-1)!,
  sizeBytes: statSync(path).size,
  open: () => createReadStream(path),
})

const atRoot = (path: string): string => fileURLToPath(new URL(`../../../../${path}`, import.meta.url))

/** The copy in tests/data/csv, or the shared original where that folder exists; null otherwise. */
export function realFile(path: string): string | null {
  const copied = atRoot(`tests/data/csv/${path.split('/').slice(1).join('-')}`)
  return [copied, `${copied}.gz`, atRoot(`../shared/${path}`)].find((file) => existsSync(file)) ?? null
}

export interface ReadingRow {
  at: number
  line: number
  values: Partial<Record<Quantity, number>>
}

export interface AllRead {
  probes: Map<string, ReadingRow[]>
  refused: RefusedLine[]
  summary: ReadSummary
}

export async function readAll(source: Source, understanding: Understanding, options?: ReadOptions): Promise<AllRead> {
  const probes = new Map<string, ReadingRow[]>()
  const refused: RefusedLine[] = []
  const batches = readRows(source, understanding, options)
  for (;;) {
    const next = await batches.next()
    if (next.done) return { probes, refused, summary: next.value }
    const batch = next.value
    if (batch.kind === 'refused') {
      refused.push(...batch.lines)
      continue
    }
    const rows = probes.get(batch.probeKey) ?? []
    probes.set(batch.probeKey, rows)
    for (let i = 0; i < batch.at.length; i++) {
      const values: ReadingRow['values'] = {}
      for (const quantity of QUANTITY_NAMES) {
        const value = batch.columns[quantity]?.[i]
        if (value !== undefined && !Number.isNaN(value)) values[quantity] = value
      }
      rows.push({ at: batch.at[i]!, line: batch.lines[i]!, values })
    }
  }
}

export type Understood = Extract<Look, { ok: true }>

/** Looks and expects to understand. */
export async function understood(source: Source, context: Partial<LookContext> = {}): Promise<Understood> {
  const look = await lookAtFile(source, { ...CONTEXT, ...context })
  if (!look.ok) throw new Error(`refused: ${look.refusal.code} ${look.refusal.message}`)
  return look
}

/** Looks, then reads everything. */
export async function readText(
  text: string | Uint8Array,
  context: Partial<LookContext> = {},
): Promise<AllRead & { look: Understood }> {
  const source = sourceOf(text)
  const look = await understood(source, context)
  return { look, ...(await readAll(source, look.understanding)) }
}

export const utc = (text: string): number => Date.parse(text)
