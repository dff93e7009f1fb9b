/** One line that is rewritten while something long runs. Quiet in a pipe. */
import type { Output } from './command.ts'

export interface Progress {
  show(done: number, total: number | null, message: string): void
  /** Clears the line. */
  end(): void
}

const REDRAW_MS = 100
const BAR = 24

export function createProgress(output: Output, title: string, now: () => number): Progress {
  if (!output.terminal) return { show: () => {}, end: () => {} }
  let last = Number.NEGATIVE_INFINITY
  return {
    show(done, total, message) {
      if (now() - last < REDRAW_MS) return
      last = now()
      const share = total ? Math.min(1, done / total) : 0
      const bar = total ? `${'#'.repeat(Math.round(share * BAR)).padEnd(BAR, '.')} ${Math.round(share * 100)} % ` : ''
      output.err(`\r\x1b[K${title} ${bar}${message}`)
    },
    end: () => output.err('\r\x1b[K'),
  }
}
