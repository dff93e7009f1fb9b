/** The first steps of reading a payload: its size, its text, its JSON. Nothing that can be sent throws. */
import type { MessageRefusal, RefusalReason, Understood } from './message.ts'

export const MOST_PAYLOAD_BYTES = 256 * 1024
export const MOST_READINGS = 500
/** No payload of ours goes deeper than 3; a field that SenML lets us ignore may. */
const MOST_DEPTH = 16

export type Json = null | boolean | number | string | Json[] | { [key: string]: Json }
export type JsonObject = { [key: string]: Json }

export const isObject = (value: Json | undefined): value is JsonObject =>
  typeof value === 'object' && value !== null && !Array.isArray(value)

export const refusal = (reason: RefusalReason, problem: string, fix: string): MessageRefusal => ({
  reason,
  problem,
  fix,
})

export const refusedWhole = (refused: MessageRefusal): Extract<Understood, { ok: false }> => ({
  ok: false,
  refusal: refused,
  sequence: null,
})

const utf8 = new TextDecoder('utf-8', { fatal: true })
/** As the number formatting of many small devices writes them. */
const NOT_A_NUMBER = /[:,[]\s*[-+]?(nan|inf|infinity)\b/i

export function readJson(payload: Uint8Array): { ok: true; json: Json } | { ok: false; refusal: MessageRefusal } {
  const bad = (reason: RefusalReason, problem: string, fix: string) =>
    ({ ok: false, refusal: refusal(reason, problem, fix) }) as const
  if (payload.length > MOST_PAYLOAD_BYTES) {
    return bad(
      'oversized',
      `The payload has ${payload.length} bytes; at most ${MOST_PAYLOAD_BYTES} are taken.`,
      `Send a backlog in parts of at most ${MOST_READINGS} readings.`,
    )
  }
  if (payload.length === 0) return bad('malformed', 'The payload is empty.', 'Send JSON; see firmware-notes.')
  let text: string
  try {
    text = utf8.decode(payload)
  } catch {
    return bad('malformed', 'The payload is not text in UTF-8.', 'Send JSON as UTF-8, not packed or binary.')
  }
  let json: Json
  try {
    json = JSON.parse(text) as Json
  } catch (error) {
    const why = printable((error as Error).message, 120)
    return bad('malformed', `The payload is not JSON: ${why}.`, jsonFix(text))
  }
  const flaw = flawOf(text)
  return flaw === null ? { ok: true, json } : { ok: false, refusal: flaw }
}

function jsonFix(text: string): string {
  if (NOT_A_NUMBER.test(text)) return 'JSON has no NaN or infinity: send null where a sensor could not be read.'
  if (/^\s*[{[]/.test(text) && !/[}\]]\s*$/.test(text)) {
    return 'The end is missing: make the send buffer of the logger larger than its longest message.'
  }
  return 'Send one JSON object, or an array for SenML; see firmware-notes.'
}

/** What JSON itself allows and nobody means: one name twice in an object, and endless nesting. `text` is JSON. */
function flawOf(text: string): MessageRefusal | null {
  /** The names so far in each object that is open; null for an array. */
  const open: (Set<string> | null)[] = []
  for (let i = 0; i < text.length; i++) {
    const letter = text.charCodeAt(i)
    if (letter === OPEN_OBJECT || letter === OPEN_ARRAY) {
      if (open.length === MOST_DEPTH) {
        const problem = `The payload is nested more than ${MOST_DEPTH} deep, from character ${i + 1} on.`
        return refusal('malformed', problem, 'Send readings as firmware-notes shows: an object, an array, objects.')
      }
      open.push(letter === OPEN_OBJECT ? new Set() : null)
    } else if (letter === CLOSE_OBJECT || letter === CLOSE_ARRAY) {
      open.pop()
    } else if (letter === QUOTE) {
      const end = endOfString(text, i)
      const names = open[open.length - 1]
      if (names && isName(text, end)) {
        const name = nameIn(text.slice(i, end + 1))
        if (names.has(name)) {
          const problem = `The field ${printable(name)} stands twice in one object, again at character ${i + 1}.`
          return refusal('malformed', problem, 'Send each field once; which of the two was meant cannot be told.')
        }
        names.add(name)
      }
      i = end
    }
  }
  return null
}

// Every message passes here, so letters are compared by their codes.
const [QUOTE, BACKSLASH, COLON, SPACE] = [0x22, 0x5c, 0x3a, 0x20]
const [OPEN_OBJECT, CLOSE_OBJECT, OPEN_ARRAY, CLOSE_ARRAY] = [0x7b, 0x7d, 0x5b, 0x5d]

function endOfString(text: string, start: number): number {
  for (let end = start + 1; ; end++) {
    const letter = text.charCodeAt(end)
    if (letter === BACKSLASH) end++
    else if (letter === QUOTE) return end
  }
}

function isName(text: string, end: number): boolean {
  let next = end + 1
  while (text.charCodeAt(next) <= SPACE) next++
  return text.charCodeAt(next) === COLON
}

/** As it is meant: a name may be written with escapes. */
const nameIn = (quoted: string): string =>
  quoted.includes('\\') ? (JSON.parse(quoted) as string) : quoted.slice(1, -1)

const MOST_SAID = 40
const UNSEEN = /[\p{C}\p{Zl}\p{Zp}]/u

/** A text that was sent, short and without letters that a reader would not see. */
export function printable(text: string, most = MOST_SAID): string {
  const letters = Array.from(text.slice(0, 2 * most))
  const shown = letters
    .slice(0, most)
    .map((letter) => (UNSEEN.test(letter) ? `\\u{${letter.codePointAt(0)!.toString(16)}}` : letter))
    .join('')
  return letters.length > most || text.length > 2 * most ? `${shown}…` : shown
}

/** What was sent, to stand in a sentence: `"high"`, `4000`, `an array of 3`. */
export function said(value: Json | undefined): string {
  if (typeof value === 'string') return `"${printable(value)}"`
  if (value === undefined) return 'missing'
  if (Array.isArray(value)) return `an array of ${value.length}`
  return isObject(value) ? 'an object' : String(value)
}
