/** `underjoist/<logger>/status`: the logger says that it is there, and its last will that it is gone. */
import { isObject, readJson, refusal, said } from './json.ts'
import type { LoggerTold, MessageRefusal } from './message.ts'
import { strangeName } from './otherNames.ts'
import { TOLD_FIELDS, toldOf } from './told.ts'

export type Status =
  | { ok: true; online: boolean; told: Omit<LoggerTold, 'clockAt'> }
  | { ok: false; refusal: MessageRefusal }

const FIELDS: readonly string[] = ['online', ...TOLD_FIELDS]

export function readStatus(payload: Uint8Array): Status {
  const read = readJson(payload)
  if (!read.ok) return read
  const { json } = read
  const bad = (problem: string): Status => ({
    ok: false,
    refusal: refusal('malformed', problem, 'Send {"online":true}, and {"online":false} as last will.'),
  })
  if (!isObject(json)) return bad(`The status is ${said(json)}, expected an object.`)
  const strange = Object.keys(json).find((name) => !FIELDS.includes(name))
  if (strange !== undefined) return { ok: false, refusal: strangeName(strange, FIELDS, '') }
  if (typeof json.online !== 'boolean') return bad(`online is ${said(json.online)}, expected true or false.`)
  const refused: MessageRefusal[] = []
  // A status is kept by the broker and read long after: a clock in it would seem to have stopped.
  const { clockAt: _, ...told } = toldOf(json, refused)
  const [first] = refused
  return first === undefined ? { ok: true, online: json.online, told } : { ok: false, refusal: first }
}
