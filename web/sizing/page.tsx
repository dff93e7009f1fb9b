/** Sizing: the calculations by themselves, for a house that has no readings yet. */
import { useEffect, useState } from 'preact/hooks'
import type { ErrorAnswer } from '../../server/http/contract/error.ts'
import type { SizingAnswer } from '../../server/http/contract/sizing.ts'
import { send, Trouble } from '../base/api.ts'
import { TroubleBox } from '../base/parts.tsx'
import '../enter/enter.css'
import { DehumidifierForm } from './dehumidifier.tsx'
import { DrainForm } from './drain.tsx'
import './sizing.css'

export default function SizingPage() {
  return (
    <>
      <h1 tabIndex={-1}>Sizing</h1>
      <p>
        Plain calculations for a house that has no readings yet. Once a house has been measured, its own page answers
        from its readings, with intervals.
      </p>
      <DehumidifierForm />
      <DrainForm />
    </>
  )
}

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

export function Said({ trouble }: { trouble: ErrorAnswer | null }) {
  return trouble ? <TroubleBox trouble={trouble} /> : null
}
