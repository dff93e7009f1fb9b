/** Loads what a page shows: loading, being made, failed or ready; what was shown stays while it is asked for again. */
import { useCallback, useEffect, useRef, useState } from 'preact/hooks'
import type { ErrorAnswer } from '../../server/http/contract/error.ts'
import { ask, Trouble } from './api.ts'

export type Loaded<T> =
  | { state: 'loading'; body: T | null }
  /** The service is at work on it; asked again by itself. `done` from 0 to 1 where it is known. */
  | { state: 'being made'; body: T | null; done: number | null; message: string }
  | { state: 'failed'; body: T | null; trouble: ErrorAnswer }
  | { state: 'ready'; body: T }

const FIRST_WAIT_MS = 400
const LONGEST_WAIT_MS = 3000

interface BeingMade {
  job?: { done: number; message: string }
}

/** @param path null asks for nothing yet */
export function useLoad<T>(path: string | null): Loaded<T> & { again: () => void } {
  const [loaded, setLoaded] = useState<Loaded<T>>({ state: 'loading', body: null })
  const [turn, setTurn] = useState(0)
  const shown = useRef<{ path: string | null; body: T | null }>({ path: null, body: null })

  useEffect(() => {
    if (path === null) return
    const stop = new AbortController()
    let timer: ReturnType<typeof setTimeout> | undefined
    // What belongs to another house is not shown for a moment; the same resource in other units is.
    const kept = shown.current.path?.split('?')[0] === path.split('?')[0] ? shown.current.body : null
    setLoaded({ state: 'loading', body: kept })
    const attempt = async (wait: number): Promise<void> => {
      try {
        const { status, body } = await ask<T>(path, { signal: stop.signal })
        if (stop.signal.aborted) return
        if (status === 202) {
          const job = (body as BeingMade).job
          setLoaded({ state: 'being made', body: kept, done: job?.done ?? null, message: job?.message ?? '' })
          timer = setTimeout(() => void attempt(Math.min(wait * 1.5, LONGEST_WAIT_MS)), wait)
          return
        }
        shown.current = { path, body }
        setLoaded({ state: 'ready', body })
      } catch (error) {
        if (stop.signal.aborted) return
        if (!(error instanceof Trouble)) throw error
        setLoaded({ state: 'failed', body: kept, trouble: error.answer })
      }
    }
    void attempt(FIRST_WAIT_MS)
    return () => {
      stop.abort()
      clearTimeout(timer)
    }
  }, [path, turn])

  const again = useCallback(() => setTurn((n) => n + 1), [])
  return { ...loaded, again }
}
