/**
 * The address a station's readings are fetched from, as the firm wrote it. It may hold places for the span asked for:
 *
 * `{from}`, `{to}` first and last day, such as 2026-05-01, both included; `{dayAfter}` the day after the last, for services
 * that leave the last one out; `{fromS}`, `{toS}` begin and end in seconds since 1970 UTC. Days are those of the station's zone.
 */
import { localDateText } from '../../series/localTime.ts'
import { isLoopback } from '../thisMachine.ts'

export interface Span {
  /** UTC epoch ms; `to` excluded. */
  from: number
  to: number
}

const PLACES = ['from', 'to', 'dayAfter', 'fromS', 'toS'] as const
const PLACE = /\{([^{}]*)\}/g
const DAY_MS = 86_400_000
const LONGEST = 2000

/** What keeps the address from being used, as a sentence; null when nothing does. */
export function stationUrlProblem(text: string): string | null {
  if (text.length > LONGEST) return `The address is longer than ${LONGEST} characters.`
  const unknown = [...text.matchAll(PLACE)].find(([, name]) => !PLACES.some((place) => place === name))
  if (unknown) {
    return `There is no ${unknown[0]} to put into the address; use ${PLACES.map((place) => `{${place}}`).join(', ')}.`
  }
  const url = parsed(fillStationUrl(text, { from: 0, to: DAY_MS }, 'UTC'))
  if (url === null) return 'This is no address. It begins with https:// and the name of the service.'
  return urlProblem(url)
}

/** The same of an address that is about to be asked, such as one that another sent us on to. */
export function urlProblem(url: URL): string | null {
  if (url.username !== '' || url.password !== '') {
    return 'The address holds a name and password before its @, which are not used. Put the key of the service where it wants it after the question mark.'
  }
  if (url.protocol === 'https:') return null
  if (url.protocol !== 'http:') return `The address begins with ${url.protocol}//, and only https:// is asked.`
  if (namesThisMachine(url)) return null
  return 'The address begins with http://, so anyone on the way could read it and change the weather. Use https://; http is for a gateway on this very machine (127.0.0.1).'
}

/** http, and written so that it can only mean this machine. */
export const namesThisMachine = (url: URL): boolean => url.protocol === 'http:' && isLoopback(url.hostname)

function parsed(text: string): URL | null {
  try {
    return new URL(text)
  } catch {
    return null
  }
}

/** Whether the address can ask for a span; without that nothing can be fetched that lies further back than it shows. */
export const asksForSpan = (text: string): boolean => /\{(?:from|fromS)\}/.test(text)

/** The address for one span. */
export function fillStationUrl(text: string, { from, to }: Span, timeZone: string): string {
  const last = Math.max(from, to - 1)
  const values: Record<string, string> = {
    from: localDateText(from, timeZone),
    to: localDateText(last, timeZone),
    dayAfter: nextDay(localDateText(last, timeZone)),
    fromS: String(Math.floor(from / 1000)),
    toS: String(Math.ceil(to / 1000)),
  }
  return text.replace(PLACE, (whole, name: string) => values[name] ?? whole)
}

const nextDay = (date: string): string => new Date(Date.parse(`${date}T00:00:00Z`) + DAY_MS).toISOString().slice(0, 10)

/** A part of a path this long and this mixed is a key and not a word. */
const KEY_IN_PATH = /^(?=.*\d)(?=.*[a-z])[\w-]{20,}$/i
const HIDDEN = '…'

/**
 * The address without its secrets, to be shown and logged: values after the question mark are hidden, but for the places of
 * a span, and so are parts of the path that look like a key.
 */
export function shownUrl(text: string): string {
  const [beforeMark = '', ...rest] = text.split('#')[0]!.split('?')
  const path = beforeMark
    .replace(/\/\/[^/@]*@/, '//')
    .split('/')
    .map((part) => (KEY_IN_PATH.test(part) ? HIDDEN : part))
    .join('/')
  if (rest.length === 0) return path
  const query = rest
    .join('?')
    .split('&')
    .map((pair) => {
      const at = pair.indexOf('=')
      if (at < 0) return KEY_IN_PATH.test(pair) ? HIDDEN : pair
      const value = pair.slice(at + 1)
      return /^(?:\{\w+\}[\w:.-]{0,12})?$/.test(value) ? pair : `${pair.slice(0, at + 1)}${HIDDEN}`
    })
  return `${path}?${query.join('&')}`
}
