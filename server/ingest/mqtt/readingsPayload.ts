/** Our own JSON payload of readings, described in firmware-notes: what it says, or why it is refused. */
import { QUANTITY_NAMES } from '../../series/quantities.ts'
import { isObject, type Json, type JsonObject, MOST_READINGS, readJson, refusal, refusedWhole, said } from './json.ts'
import type { Message, MessageReading, MessageRefusal, Sequence, Understood } from './message.ts'
import { READING_FIELDS, readReading } from './oneReading.ts'
import { strangeName } from './otherNames.ts'
import { SEQUENCE_FIELDS, sequenceOf, TOLD_FIELDS, toldOf } from './told.ts'

/** What stands around the readings. */
const MESSAGE_FIELDS: ReadonlySet<string> = new Set([...SEQUENCE_FIELDS, ...TOLD_FIELDS])
const LONE_FIELDS: ReadonlySet<string> = new Set([...READING_FIELDS, ...MESSAGE_FIELDS])
const MANY_FIELDS: ReadonlySet<string> = new Set(['readings', ...MESSAGE_FIELDS])

/** @param arrivedAt UTC epoch ms, the moment that ages are counted back from */
export function readReadings(payload: Uint8Array, arrivedAt: number): Understood {
  const read = readJson(payload)
  if (!read.ok) return refusedWhole(read.refusal)
  const { json } = read
  if (!isObject(json)) {
    const problem = `The payload is ${said(json)}, expected one JSON object.`
    return refusedWhole(
      refusal('malformed', problem, 'Send {"readings": […]}; an array is SenML and has its own topic.'),
    )
  }
  const { sequence, refused: badSequence } = sequenceOf(json)
  if (badSequence !== null) return refusedWhole(badSequence)
  return json.readings === undefined ? readLone(json, sequence, arrivedAt) : readMany(json, sequence, arrivedAt)
}

function readLone(json: JsonObject, sequence: Sequence | null, arrivedAt: number): Understood {
  const strange = Object.keys(json).find((name) => !LONE_FIELDS.has(name))
  if (strange !== undefined) {
    return { ok: false, refusal: strangeName(strange, ['readings', ...LONE_FIELDS], ''), sequence }
  }
  const refused: MessageRefusal[] = []
  const told = toldOf(json, refused)
  // The battery of a lone reading is the logger's own: the intake puts it beside the reading.
  const { batteryV: _, ...own } = json
  const reading = readReading(own, { arrivedAt, alone: true, place: '' }, refused)
  const saysNothing = sequence === null && ![...QUANTITY_NAMES, ...TOLD_FIELDS].some((name) => json[name] !== undefined)
  if (refused.length === 0 && saysNothing) refused.push(withoutValue('The payload'))
  return answer({ readings: reading === null ? [] : [reading], sequence, told, refused })
}

function readMany(json: JsonObject, sequence: Sequence | null, arrivedAt: number): Understood {
  const whole = (one: MessageRefusal): Understood => ({ ok: false, refusal: one, sequence })
  const strange = Object.keys(json).find((name) => !MANY_FIELDS.has(name))
  if (strange !== undefined) {
    return whole(
      READING_FIELDS.has(strange)
        ? refusal(
            'malformed',
            `${strange} stands beside readings.`,
            'Put it into each of the readings that it belongs to.',
          )
        : strangeName(strange, [...MANY_FIELDS], ''),
    )
  }
  const list = json.readings as Json
  if (!Array.isArray(list)) {
    return whole(refusal('malformed', `readings is ${said(list)}, expected an array.`, 'Send "readings": [{…}, {…}].'))
  }
  if (list.length === 0) {
    return whole(refusal('malformed', 'readings is empty.', 'Send at least one reading, or leave the field out.'))
  }
  if (list.length > MOST_READINGS) {
    const problem = `readings holds ${list.length}; at most ${MOST_READINGS} are taken at once.`
    return whole(refusal('oversized', problem, 'Send a backlog in parts.'))
  }
  const refused: MessageRefusal[] = []
  const told = toldOf(json, refused)
  const readings: MessageReading[] = []
  for (const [i, one] of list.entries()) {
    const reading = readAmongMany(one, `readings[${i}]`, arrivedAt, refused)
    if (reading !== null) readings.push(reading)
  }
  return answer({ readings, sequence, told, refused })
}

/** A field that is not known may be a misspelled probe or time, and its reading would end up at a wrong place. */
function readAmongMany(json: Json, name: string, arrivedAt: number, refused: MessageRefusal[]): MessageReading | null {
  if (!isObject(json)) {
    refused.push(
      refusal('malformed', `${name} is ${said(json)}, expected an object.`, 'Such as {"tempC": 14.2, "ageS": 0}.'),
    )
    return null
  }
  const strange = Object.keys(json).find((field) => !READING_FIELDS.has(field))
  if (strange !== undefined) {
    refused.push(
      MESSAGE_FIELDS.has(strange)
        ? refusal(
            'malformed',
            `${name}.${strange} stands in a reading.`,
            'Put it beside readings: it is of the message.',
          )
        : strangeName(strange, [...READING_FIELDS], `${name}.`),
    )
    return null
  }
  if (!QUANTITY_NAMES.some((quantity) => json[quantity] !== undefined)) {
    refused.push(withoutValue(name))
    return null
  }
  return readReading(json, { arrivedAt, alone: false, place: `${name}.` }, refused)
}

const withoutValue = (name: string): MessageRefusal =>
  refusal('malformed', `${name} has no value.`, `Give one of ${QUANTITY_NAMES.join(', ')}.`)

/** Nothing good in it and something bad: the message is refused as a whole. */
function answer(message: Message): Understood {
  const { readings, told, refused, sequence } = message
  const [first] = refused
  if (first !== undefined && readings.length === 0 && Object.keys(told).length === 0) {
    return { ok: false, refusal: first, sequence }
  }
  return { ok: true, message }
}
