/** The one sentence at the head of a house's page. Counts as dry only spots that are heard, and names the silent ones. */
import { LEVELS, type Level } from '../../moisture/level.ts'
import { listWords } from '../workWords.ts'
import { dateWords } from './dateWords.ts'

export interface JudgedSpot {
  letter: string
  name: string
  level: Level
  /** Local date of the first day of this run. */
  since: string
}

const NUMBERS = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten']
const numberWords = (n: number): string => NUMBERS[n] ?? `${n}`
const spotsWords = (n: number, all: number): string =>
  n === all
    ? all === 1
      ? 'the one spot'
      : `all ${numberWords(all)} spots`
    : `${numberWords(n)} of ${numberWords(all)} spots`

/**
 * @param spots of the spaces that are judged; at least one
 * @param date local date it is told for
 */
export function verdictSentence(spots: readonly JudgedSpot[], place: string, date: string): string {
  const of = (level: Level) => spots.filter((spot) => spot.level === level)
  const worst = LEVELS.find((level) => level !== 'silent' && of(level).length > 0)
  const silent = of('silent')
  const on = `${place} on ${dateWords(date)}`
  if (worst === undefined) return `Nothing is heard from ${place}: no news never means dry.`
  const own = of(worst)
  const head = `${upper(worst)} at ${spotsWords(own.length, spots.length)} ${on}`
  const since = own.length === 1 && worst !== 'dry' ? ` (${own[0]!.letter}, since ${dateWords(own[0]!.since)})` : ''
  const rest = LEVELS.filter((level) => level !== worst && level !== 'silent')
    .map((level) => ({ level, count: of(level).length }))
    .filter(({ count }) => count > 0)
    .map(({ level, count }) => `${level} at ${numberWords(count)}`)
  const quiet = silent.length === 0 ? [] : [`nothing is heard from ${listWords(silent.map(({ letter }) => letter))}`]
  const others = listWords([...rest, ...quiet])
  return `${head}${since}${others === '' ? '' : `; ${others}`}.`
}

const upper = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1)
