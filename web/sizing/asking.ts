/** Asks the service for what the forms of this page have entered. */
import { useEffect, useState } from 'preact/hooks'
import type { ErrorAnswer } from '../../server/http/contract/error.ts'
import type { SizingAnswer } from '../../server/http/contract/sizing.ts'
import { send, Trouble } from '../base/api.ts'

/** Asks whenever what is entered rests. */
export function useSizing(body: unknown): { answer: SizingAnswer | null; trouble: ErrorAnswer | null } {
  const [answer, setAnswer] = useState<SizingAnswer | null>(null)
  const [trouble, setTrouble] = useState<ErrorAnswer | null>(null)
  const asked = JSON.stringify(body)
  useEffect(() => {
    const stop = new AbortController()
    const timer = setTimeout(async () => {
      try {
        setAnswer(await send<SizingAnswer>('POST', '/api/sizing', JSON.parse(asked), stop.signal))
        setTrouble(null)
      } catch (error) {
        if (stop.signal.aborted) return
        if (!(error instanceof Trouble)) throw error
        setTrouble(error.answer)
      }
    }, 200)
    return () => {
      clearTimeout(timer)
      stop.abort()
    }
  }, [asked])
  return { answer, trouble }
}
