/** Small parts of the pages of loggers: an age that counts, a standing, what comes in, an act that may be refused. */
import { useEffect, useRef, useState } from 'preact/hooks'
import type { ErrorAnswer } from '../../server/http/contract/error.ts'
import type { Logger } from '../../server/http/contract/loggers.ts'
import { Trouble } from '../base/api.ts'
import { Chip } from '../base/parts.tsx'
import { ageText, momentText } from '../base/time.ts'
import { type Faults, faultsOf } from '../enter/fields.tsx'
import type { Live } from './live.ts'
import { useTick } from './live.ts'
import { OWN_ZONE, STANDING_WORDS } from './words.ts'

/** "8 s ago", counting. Not told aloud: that would be every second. */
export function Age({ at, now, timeZone = OWN_ZONE }: { at: number; now: () => number; timeZone?: string }) {
  useTick()
  return <time title={momentText(at, timeZone)}>{ageText(now() - at)}</time>
}

const KIND = { late: 'firm', waiting: 'unsure', heard: 'open', 'read out': 'open', retired: 'unsure' } as const

export const StandingChip = ({ standing }: { standing: Logger['standing'] }) => (
  <Chip kind={KIND[standing]}>{STANDING_WORDS[standing]}</Chip>
)

/** Whether what is shown is of now. */
export function LiveState({ live }: { live: Live }) {
  const text = {
    events: '',
    asked: 'Asked every 10 seconds, for live news do not come through here.',
    lost: `${live.trouble?.message ?? ''} What stands here grows old; it is tried again every 10 seconds.`,
  }[live.by]
  return (
    <p role="status" class={live.by === 'lost' ? 'fault' : 'small quiet'}>
      {text}
    </p>
  )
}

/** Says to the ear what changed, at most once in a while; the eye has it anyway. */
export function Announced({ text }: { text: string }) {
  return (
    <p class="unseen" role="status" aria-live="polite">
      {text}
    </p>
  )
}

export interface Acting {
  busy: boolean
  /** At its field. */
  faults: Faults
  /** What has no field here. */
  trouble: ErrorAnswer | null
  /** What was done; empty before. */
  said: string
  /** @returns whether it was done */
  run(act: () => Promise<string>): Promise<boolean>
}

/**
 * Something that is sent and may be refused, the refusal told where it belongs.
 * @param fields paths of what was sent that have a field, such as /probes/0/spot
 */
export function useActing(fields: readonly string[] = []): Acting {
  const [busy, setBusy] = useState(false)
  const [refusal, setRefusal] = useState<ErrorAnswer | null>(null)
  const [said, setSaid] = useState('')
  const path = refusal?.where?.startsWith('body') ? refusal.where.slice('body'.length) : null
  const field = fields.find((one) => path === one || path?.startsWith(`${one}/`))
  return {
    busy,
    said,
    faults: faultsOf(
      refusal !== null && field !== undefined ? [{ path: field, problem: `${refusal.message} ${refusal.hint}` }] : [],
    ),
    trouble: field === undefined ? refusal : null,
    async run(act) {
      setBusy(true)
      setRefusal(null)
      setSaid('')
      try {
        setSaid(await act())
        return true
      } catch (error) {
        if (!(error instanceof Trouble)) throw error
        setRefusal(error.answer)
        return false
      } finally {
        setBusy(false)
      }
    },
  }
}

/** Puts a text where it can be pasted; where the browser forbids it, selects it for the keys. */
export function Copy({ text, what, all = false }: { text: string; what: string; all?: boolean }) {
  const [copied, setCopied] = useState<'no' | 'yes' | 'refused'>('no')
  const timer = useRef<ReturnType<typeof setTimeout>>()
  useEffect(() => () => clearTimeout(timer.current), [])
  async function copy(): Promise<void> {
    try {
      await navigator.clipboard.writeText(text)
      setCopied('yes')
    } catch {
      setCopied('refused')
    }
    clearTimeout(timer.current)
    timer.current = setTimeout(() => setCopied('no'), 4000)
  }
  const word = { no: all ? 'Copy all secrets' : 'Copy', yes: 'Copied', refused: 'Select and copy it by hand' }[copied]
  return (
    <button type="button" class="copy" aria-label={all ? word : `${word}: ${what}`} onClick={() => void copy()}>
      {word}
    </button>
  )
}
