/** Notices of a house: open ones first, each to acknowledge or put off, with what became of it. */
import { useState } from 'preact/hooks'
import type { NoticeAnswer, NoticesAnswer } from '../../server/http/contract/notices.ts'
import type { Units } from '../../server/http/contract/words.ts'
import { ofHouse, send, Trouble } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting, Chip, Section } from '../base/parts.tsx'
import { usePerson } from '../base/person.ts'
import { momentText, shortDateText } from '../base/time.ts'
import { type Quantity, withUnit } from '../base/units.ts'
import './notices.css'

const PUT_OFF = [
  { hours: 24, words: 'a day' },
  { hours: 72, words: 'three days' },
  { hours: 168, words: 'a week' },
] as const
const MOST_OVER = 5

export function NoticesSection({ houseKey, timeZone }: { houseKey: string; timeZone: string }) {
  const loaded = useLoad<NoticesAnswer>(ofHouse(houseKey, '/notices'))
  const { body, again } = loaded
  const open = body?.notices.filter(({ clearedAt }) => clearedAt === null) ?? []
  const over = body?.notices.filter(({ clearedAt }) => clearedAt !== null) ?? []
  return (
    <Section id="notices" title="Notices">
      {body === null && <Awaiting loaded={loaded} what="the notices" again={again} />}
      {body !== null && open.length === 0 && <p>None is open.</p>}
      <ul class="notices">
        {open.map((notice) => (
          <Notice key={notice.id} notice={notice} timeZone={timeZone} asOf={body!.asOf} again={again} />
        ))}
      </ul>
      {over.length > 0 && (
        <details>
          <summary>
            {over.length === 1 ? 'One that is over' : `${over.length} that are over`}
            {over.length > MOST_OVER ? `, the latest ${MOST_OVER}` : ''}
          </summary>
          <ul class="notices">
            {over.slice(0, MOST_OVER).map((notice) => (
              <Notice key={notice.id} notice={notice} timeZone={timeZone} asOf={body!.asOf} again={again} />
            ))}
          </ul>
        </details>
      )}
    </Section>
  )
}

interface Given {
  notice: NoticeAnswer
  timeZone: string
  asOf: number
  again: () => void
}

function Notice({ notice, timeZone, asOf, again }: Given) {
  const { units } = usePerson()
  const { urgency, sinceAt, clearedAt, overAt, acknowledgedAt, acknowledgedBy, snoozedUntil } = notice
  const numbers = numbersInWords(notice, units)
  return (
    <li class="notice">
      <h3>
        {titleOf(notice)}{' '}
        <Chip kind={clearedAt !== null ? 'unsure' : urgency === 'urgent' ? 'firm' : 'open'}>
          {clearedAt === null ? urgency : 'over'}
        </Chip>
      </h3>
      <p>
        Since {momentText(sinceAt, timeZone)}
        {clearedAt !== null && `, until ${momentText(overAt ?? clearedAt, timeZone)}`}.
        {numbers !== '' && ` ${numbers}.`}
        {notice.circumstances.length > 0 && ` Known around it: ${notice.circumstances.join(', ')}.`}
      </p>
      <p class="small quiet">
        {acknowledgedAt === null
          ? 'Nobody has acknowledged it.'
          : `Acknowledged by ${acknowledgedBy}, ${momentText(acknowledgedAt, timeZone)}.`}
        {clearedAt === null &&
          snoozedUntil !== null &&
          snoozedUntil > asOf &&
          ` Put off until ${momentText(snoozedUntil, timeZone)}.`}
      </p>
      {clearedAt === null && <Acts notice={notice} again={again} />}
      <details class="small">
        <summary>What became of it</summary>
        <ol class="notice-changes">
          {notice.changes.map(({ at, change, who, quiet }) => (
            <li key={`${at} ${change}`}>
              {shortDateText(at, timeZone)}: {change}, {who}
              {quiet !== null && ` (nobody written to: ${quiet})`}
            </li>
          ))}
        </ol>
      </details>
    </li>
  )
}

function Acts({ notice: { id, acknowledgedAt }, again }: Pick<Given, 'notice' | 'again'>) {
  const [busy, setBusy] = useState(false)
  const [trouble, setTrouble] = useState('')
  async function act(path: string, body?: unknown): Promise<void> {
    setBusy(true)
    setTrouble('')
    try {
      await send('POST', `/api/notices/${id}/${path}`, body)
      again()
    } catch (error) {
      if (!(error instanceof Trouble)) throw error
      setTrouble(`${error.answer.message} ${error.answer.hint}`)
    }
    setBusy(false)
  }
  return (
    <div class="row no-print">
      {acknowledgedAt === null && (
        <button type="button" disabled={busy} onClick={() => void act('acknowledge')}>
          Acknowledge
        </button>
      )}
      <label class="row">
        Put off for
        <select
          disabled={busy}
          value=""
          onChange={(event) => {
            const hours = Number(event.currentTarget.value)
            event.currentTarget.value = ''
            if (hours > 0) void act('snooze', { hours })
          }}
        >
          <option value="">choose</option>
          {PUT_OFF.map(({ hours, words }) => (
            <option key={hours} value={hours}>
              {words}
            </option>
          ))}
        </select>
      </label>
      <span role="status" class="fault small">
        {trouble}
      </span>
    </div>
  )
}

function titleOf({ watch, place, alsoAt, about, circumstances }: NoticeAnswer): string {
  const what = `${watch.charAt(0).toUpperCase()}${watch.slice(1)}`
  const where = circumstances.includes('whole house') ? 'the whole house' : (place.spotName ?? place.spaceName)
  const also = alsoAt.length === 0 ? '' : ` and ${alsoAt.join(', ')}`
  return [what, where === null ? null : `${where}${also}`, about].filter((part) => part !== null).join(', ')
}

/** Those a reader of the page asks for first; the rest is in the record. */
const SHOWN: readonly { name: string; words: string; quantity: Quantity }[] = [
  { name: 'rhPct', words: 'mean of a day', quantity: 'rhPct' },
  { name: 'tempC', words: 'air', quantity: 'tempC' },
  { name: 'woodMcPct', words: 'wood', quantity: 'woodMcPct' },
  { name: 'vaporExcessPa', words: 'over outdoors', quantity: 'vaporPressurePa' },
  { name: 'rainMm', words: 'rain', quantity: 'rainMm' },
  { name: 'silentHours', words: 'silent for', quantity: 'hours' },
]

function numbersInWords({ numbers }: NoticeAnswer, units: Units): string {
  const parts = SHOWN.flatMap(({ name, words, quantity }) => {
    const value = numbers[name]
    return value === undefined ? [] : [`${words} ${withUnit(value, quantity, units)}`]
  })
  const text = parts.join(', ')
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}`
}
