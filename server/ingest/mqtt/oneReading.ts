/** One reading of our own payload: its probe, its values, its time; and what of it cannot be taken. */
import { QUANTITIES, QUANTITY_NAMES, type Quantity } from '../../series/quantities.ts'
import { believed, isTimely } from '../checkReadings.ts'
import { type Json, type JsonObject, refusal, said } from './json.ts'
import type { MessageReading, MessageRefusal } from './message.ts'

export const DEFAULT_PROBE = 'air'
const TIME_FIELDS = ['at', 'atS', 'ageS'] as const
export const READING_FIELDS: ReadonlySet<string> = new Set(['probe', ...TIME_FIELDS, ...QUANTITY_NAMES])

/** ISO 8601 with its zone: a wall clock without one would be an hour off twice a year. */
const ISO = /^(\d{4})-(\d\d)-(\d\d)T\d\d:\d\d(?::\d\d(?:\.\d{1,9})?)?(?:Z|[+-]\d\d:\d\d)$/
/** As keys of probes are (store/houseTree.ts). */
const PROBE_KEY = /^[a-z0-9][a-z0-9._-]{0,63}$/

export interface Circumstances {
  /** UTC epoch ms. */
  arrivedAt: number
  /** A lone reading without a time is of the moment it arrives. */
  alone: boolean
  /** What stands before a field in sentences: empty, or `readings[3].` */
  place: string
}

/** Null when there is nothing of it to store; why is in `refused`, unless no value was measured at all. */
export function readReading(
  json: JsonObject,
  circumstances: Circumstances,
  refused: MessageRefusal[],
): MessageReading | null {
  const { place } = circumstances
  const probe = json.probe ?? DEFAULT_PROBE
  if (typeof probe !== 'string' || !PROBE_KEY.test(probe)) {
    const expected = 'its key: small letters, digits, dots, hyphens, underscores'
    refused.push(refusal('malformed', `${place}probe is ${said(probe)}, expected ${expected}.`, 'Such as "air".'))
    return null
  }
  const values = valuesOf(json, place, refused)
  if (Object.keys(values).length === 0) return null
  const time = timeOf(json, circumstances)
  if ('reason' in time) {
    refused.push(time)
    return null
  }
  return { probe, ...time, values }
}

function valuesOf(json: JsonObject, place: string, refused: MessageRefusal[]): MessageReading['values'] {
  const values: MessageReading['values'] = {}
  for (const name of QUANTITY_NAMES) {
    const sent = json[name]
    // A sensor that could not be read says null; that is no fault of the message.
    if (sent === undefined || sent === null) continue
    const value = quantityValue(name, sent, `${place}${name}`)
    if (typeof value === 'number') values[name] = value
    else refused.push(value)
  }
  return values
}

/** @param place what the value is called in sentences */
export function quantityValue(quantity: Quantity, sent: Json, place: string): number | MessageRefusal {
  const value = quantity === 'waterPresent' && typeof sent === 'boolean' ? Number(sent) : sent
  const { unit, min, max } = QUANTITIES[quantity]
  const expected = quantity === 'waterPresent' ? unit : `${min} to ${max} ${unit}`
  if (typeof value !== 'number') {
    const fix = 'Send numbers without quotes, and null or nothing where a sensor could not be read.'
    return refusal('malformed', `${place} is ${said(value)}, expected a number (${expected}).`, fix)
  }
  return (
    believed(quantity, value) ??
    refusal(
      'out of range',
      `${place} is ${value}, expected ${expected}.`,
      'Look at the unit and at the sensor; leave the value out where the sensor could not be read.',
    )
  )
}

function timeOf(
  json: JsonObject,
  { arrivedAt, alone, place }: Circumstances,
): Pick<MessageReading, 'at' | 'byArrival'> | MessageRefusal {
  const given = TIME_FIELDS.filter((name) => json[name] !== undefined)
  if (given.length > 1) {
    return refusal('malformed', `${place}${given.join(' and ')} are both given.`, 'Give one time.')
  }
  const [name] = given
  if (name === undefined) {
    if (alone) return { at: arrivedAt, byArrival: true }
    return refusal(
      'without a time',
      `${place.slice(0, -1)} has no time.`,
      'Among several each needs at, atS or ageS; a logger without a clock tells the age.',
    )
  }
  const sent = json[name] as Json
  if (name === 'at') {
    const at = typeof sent === 'string' ? instantOf(sent) : null
    if (at !== null) return untimely(at, arrivedAt, `${place}at`) ?? { at, byArrival: false }
    const fix = 'Such as 2026-05-18T14:30:00Z or 2026-05-18T10:30:00-04:00.'
    return refusal('malformed', `${place}at is ${said(sent)}, expected a time with its zone.`, fix)
  }
  if (typeof sent !== 'number' || !(sent >= 0)) {
    const expected = name === 'ageS' ? 'seconds before it was sent' : 'seconds since 1970 (UTC)'
    return refusal('malformed', `${place}${name} is ${said(sent)}, expected ${expected}.`, 'Send a number from 0.')
  }
  const at = Math.round(name === 'ageS' ? arrivedAt - sent * 1000 : sent * 1000)
  const looksLikeMs = name === 'atS' && isTimely(sent, arrivedAt)
  return untimely(at, arrivedAt, `${place}${name}`, looksLikeMs) ?? { at, byArrival: name === 'ageS' }
}

/** Null for what is no instant of the calendar: the 30th of February would silently be the 2nd of March. */
function instantOf(text: string): number | null {
  const [, year, month, day] = (ISO.exec(text) ?? []).map(Number)
  if (year === undefined || month === undefined || day === undefined) return null
  if (new Date(Date.UTC(year, month - 1, day)).getUTCDate() !== day) return null
  const at = Date.parse(text)
  return Number.isNaN(at) ? null : at
}

/** @param place what the time is called in sentences */
export function untimely(at: number, arrivedAt: number, place: string, looksLikeMs = false): MessageRefusal | null {
  if (isTimely(at, arrivedAt)) return null
  const ahead = at > arrivedAt
  const instant = Math.abs(at) <= 8.64e15 ? new Date(at).toISOString() : `${at} ms since 1970`
  return refusal(
    ahead ? 'future' : 'ancient',
    `${place} means ${instant}, ${ahead ? 'more than a day ahead of now' : 'before 2000-01-01'}.`,
    looksLikeMs
      ? 'It looks like milliseconds: send seconds since 1970 (UTC).'
      : 'Set the clock of the logger, or send the age of the reading while the clock is not set.',
  )
}
