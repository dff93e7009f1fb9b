/** What a worker thread is handed and what it says: both sides of inWorker.ts know this and nothing else of each other. */
import type { Database } from '../store/open.ts'

/** What a module must export as `run` to be run here. It reads; it never writes. */
export type WorkerRun<Args, Result> = (args: Args, context: WorkerContext) => Promise<Result> | Result

export interface WorkerContext {
  /** The database on a connection of its own that cannot write; null when no path was given. */
  readonly db: Database | null
  progress(done: number, total: number | null, message: string): void
}

/** What a module must export as `answer` to be asked again and again (standingWorker.ts). It reads; it never writes. */
export type StandingAnswer = (args: unknown, db: Database) => Promise<unknown> | unknown

export interface ToStanding {
  id: number
  args: unknown
}

export type FromStanding =
  | { kind: 'result'; id: number; result: unknown }
  | { kind: 'error'; id: number; name: string; message: string; stack: string | undefined }

export type FromWorker =
  | { kind: 'progress'; done: number; total: number | null; message: string }
  | { kind: 'result'; result: unknown }
  | { kind: 'error'; name: string; message: string; stack: string | undefined }
