/** Small parts of the pages of loggers: an age that counts, a standing, and whether what is shown is of now. */
import type { Logger } from '../../server/http/contract/loggers.ts'
import { Chip } from '../base/parts.tsx'
import { ageText, momentText } from '../base/time.ts'
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
