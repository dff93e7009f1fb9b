/**
 * The one sentence an owner reads first. It is made of levels and open notices, never of a bare number, names neither mold
 * nor harm to health or structure, and says "dry" only of places that are heard.
 */
import { LEVELS, type Level } from '../../moisture/level.ts'
import { localDateText } from '../../series/localTime.ts'
import { listWords } from '../workWords.ts'
import { dateWords } from './dateWords.ts'

export interface OwnerSpot {
  name: string
  /** Silent when nothing was heard for so long. */
  level: Level
  /** Local date of the first day of this run. */
  since: string
  lastHeardAt: number | null
}

/** What is open, as far as the sentence turns on it. */
export interface OpenNotice {
  watch: string
  urgency: string
}

export interface OwnerState {
  /** null before anything was measured. */
  level: Level | null
  sentence: string
  more: string[]
}

/** What somebody in the house must act on now, whatever the levels say. */
const ALARMS: readonly { watch: string; level: Level; sentence: string }[] = [
  { watch: 'liquid water', level: 'wet', sentence: 'Wet: do this now' },
  { watch: 'freezing', level: 'damp', sentence: 'Freezing: do this now' },
  { watch: 'power lost', level: 'damp', sentence: 'The power is off: do this now' },
]
/** Their opening says that air or wood is damp, though the levels of the day may not. */
const DAMP_WATCHES: ReadonlySet<string> = new Set([
  'damp',
  'vapor excess',
  'condensation',
  'wood wet',
  'wood rising',
  'wetter than explained',
  'rain response back',
  'dehumidifier stopped',
  'dehumidifier too small',
])

export function ownerState(spots: readonly OwnerSpot[], notices: readonly OpenNotice[], timeZone: string): OwnerState {
  const heard = spots.filter(({ level }) => level !== 'silent')
  const silent = spots.filter(({ level }) => level === 'silent')
  const missing = silent.map(({ name }) => name)
  const alarm = ALARMS.find(({ watch }) =>
    notices.some((notice) => notice.watch === watch && notice.urgency === 'urgent'),
  )
  const worst = LEVELS.find((level) => heard.some((spot) => spot.level === level))
  if (alarm !== undefined) {
    const level = worst === 'wet' ? 'wet' : alarm.level
    return { level, sentence: alarm.sentence, more: heardLess(missing) }
  }
  if (spots.length === 0) return { level: null, sentence: 'Nothing measured yet', more: [] }
  if (worst === undefined) {
    const lastHeardAt = Math.max(...silent.map((spot) => spot.lastHeardAt ?? 0))
    return {
      level: 'silent',
      sentence: lastHeardAt === 0 ? 'Nothing heard yet' : `Nothing heard since ${dateOf(lastHeardAt, timeZone)}`,
      more: ['No news does not mean dry: we cannot tell.'],
    }
  }
  const dampNotice = notices.some(({ watch }) => DAMP_WATCHES.has(watch))
  const level = dampNotice && (worst === 'dry' || worst === 'drying') ? 'damp' : worst
  return {
    level,
    sentence: sentenceOf(level, missing.length > 0),
    more: [...whereAndSince(heard, worst), ...heardLess(missing)],
  }
}

function sentenceOf(level: Level, someSilent: boolean): string {
  if (level === 'wet') return 'Wet: we are looking'
  if (level === 'damp') return 'Damp: we are looking'
  if (level === 'drying') return 'Drying, as expected'
  return someSilent ? 'Dry where we hear from' : 'Dry'
}

/** Of the places that are as wet as the wettest. */
function whereAndSince(heard: readonly OwnerSpot[], worst: Level): string[] {
  const places = heard.filter(({ level }) => level === worst)
  const since = places.map(({ since: date }) => date).sort()
  if (worst === 'dry')
    return [`Every place under the house that is heard has been dry since ${dateWords(since.at(-1)!)}.`]
  const where = listWords(places.map(({ name }) => name))
  return [`${upper(worst)} at ${where} since ${dateWords(since[0]!)}.`]
}

const heardLess = (missing: readonly string[]): string[] =>
  missing.length === 0 ? [] : [`Nothing is heard from ${listWords(missing)}, which does not mean that it is dry there.`]

const dateOf = (at: number, timeZone: string): string => dateWords(localDateText(at, timeZone))
const upper = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1)
