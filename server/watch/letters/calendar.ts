/** Upkeep as iCalendar (RFC 5545): one all-day event a task, with an alarm on the morning. */
import { localDateText } from '../../series/localTime.ts'
import type { FirmTold, HouseTold } from './told.ts'

export const UPKEEP = ['catch basins', 'filter', 'condensate line'] as const
export type Upkeep = (typeof UPKEEP)[number]

export interface UpkeepTask {
  task: Upkeep
  /** "Clean the catch basins" */
  what: string
  how: string
  dueAt: number
  /** Months until it is due again; the calendar repeats it. Null: this once. */
  everyMonths: number | null
}

/** Common practice, no source. */
export const UPKEEP_TASKS: Record<Upkeep, Pick<UpkeepTask, 'what' | 'how'>> = {
  'catch basins': {
    what: 'Clean the catch basins',
    how: 'Lift the grates, take leaves and silt out, pour a bucket of water in and see it run off at the outlet.',
  },
  filter: {
    what: 'Clean the dehumidifier’s filter',
    how: 'Unplug it, rinse or replace the filter, plug it in again.',
  },
  'condensate line': {
    what: 'Look at the dehumidifier’s drain line',
    how: 'See that water drips at its end and that no bend stands full.',
  },
}

const DAY_MS = 24 * 3_600_000

export function upkeepCalendar(
  tasks: readonly UpkeepTask[],
  { house, firm, now }: { house: HouseTold; firm: FirmTold; now: number },
): string {
  const stamp = utc(now)
  const lines = [
    'BEGIN:VCALENDAR',
    'VERSION:2.0',
    'PRODID:-//Underjoist//Upkeep//EN',
    'CALSCALE:GREGORIAN',
    'METHOD:PUBLISH',
    ...tasks.flatMap(({ task, what, how, dueAt, everyMonths }) => {
      const date = localDateText(dueAt, house.timeZone).replaceAll('-', '')
      return [
        'BEGIN:VEVENT',
        // What repeats is one event for good: the next letter moves it, and does not set a second beside it.
        `UID:${task.replaceAll(' ', '-')}-${everyMonths === null ? `${date}-` : ''}house-${house.id}@underjoist.invalid`,
        `SEQUENCE:${Math.floor(dueAt / DAY_MS)}`,
        `DTSTAMP:${stamp}`,
        `DTSTART;VALUE=DATE:${date}`,
        ...(everyMonths === null ? [] : [`RRULE:FREQ=MONTHLY;INTERVAL=${everyMonths}`]),
        `SUMMARY:${escaped(what)}`,
        `DESCRIPTION:${escaped(firm.name === '' ? how : `${how}\n${firm.name}${firm.phone === null ? '' : `, ${firm.phone}`}`)}`,
        `LOCATION:${escaped(house.name)}`,
        'TRANSP:TRANSPARENT',
        'BEGIN:VALARM',
        'ACTION:DISPLAY',
        'TRIGGER:PT9H',
        `DESCRIPTION:${escaped(what)}`,
        'END:VALARM',
        'END:VEVENT',
      ]
    }),
    'END:VCALENDAR',
  ]
  return `${lines.map(folded).join('\r\n')}\r\n`
}

const utc = (at: number): string => new Date(at).toISOString().replace(/[-:]|\.\d+/g, '')

/** RFC 5545 section 3.3.11; other controls have no place in a text. */
const escaped = (text: string): string =>
  text
    .replace(/[\0-\x08\x0b-\x1f\x7f]/g, '')
    .replace(/[\\;,]/g, (char) => `\\${char}`)
    .replaceAll('\n', '\\n')

const MOST_OCTETS = 75
/** Section 3.1: lines of at most 75 octets, and no character is cut in two. */
function folded(line: string): string {
  const parts: string[] = ['']
  let octets = 0
  for (const char of line) {
    const size = Buffer.byteLength(char)
    if (octets + size > MOST_OCTETS) {
      parts.push('')
      octets = 1 // the space that leads it
    }
    parts[parts.length - 1] += char
    octets += size
  }
  return parts.join('\r\n ')
}
