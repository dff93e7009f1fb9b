/** Waits for a worker with its progress shown; Ctrl+C ends it with a sentence. */
import type { WorkerControl } from '../study/balance/balanceWorker.ts'
import { type Context, InputRefused } from './command.ts'
import { createProgress } from './progress.ts'

/** @throws InputRefused when it was stopped */
export async function watched<T>(
  context: Context,
  title: string,
  work: (control: WorkerControl) => Promise<T>,
): Promise<T> {
  const progress = createProgress(context, title, context.now)
  try {
    const onProgress = (share: number, message: string) => progress.show(share, 1, message)
    return await work({ signal: context.signal, onProgress })
  } catch (error) {
    if (!context.signal.aborted) throw error
    throw new InputRefused('Stopped before the end; nothing was kept.')
  } finally {
    progress.end()
  }
}
