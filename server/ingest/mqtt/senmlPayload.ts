/**
 * Readings as SenML JSON (RFC 8428): names end in one of our quantities, and the unit must be the one that the quantity is
 * kept in. The count of messages, which SenML has no field for, travels in records named as in our own payload.
 */
import { QUANTITY_NAMES, type Quantity } from '../../series/quantities.ts'
import { isTimely } from '../checkReadings.ts'
import { type JsonObject, MOST_READINGS, printable, readJson, refusal, refusedWhole, said } from './json.ts'
import type { MessageReading, MessageRefusal, Understood } from './message.ts'
import { DEFAULT_PROBE, quantityValue, untimely } from './oneReading.ts'
import { strangeName } from './otherNames.ts'
import { resolveSenml, type SenmlRecord } from './senmlRecords.ts'
import { SEQUENCE_FIELDS, sequenceOf, TOLD_FIELDS, toldOf } from './told.ts'

/** Times below are seconds from now, not since 1970 (section 4.5.3). */
const RELATIVE_BELOW_S = 2 ** 28
const OWN_FIELDS: readonly string[] = [...SEQUENCE_FIELDS, ...TOLD_FIELDS]
const MOST_RECORDS = MOST_READINGS * QUANTITY_NAMES.length + OWN_FIELDS.length
const KNOWN_NAMES = [...new Set([...QUANTITY_NAMES, ...OWN_FIELDS])]

/**
 * Symbols of RFC 8428, section 12.1; mm, dBm and the percent sign's replacement /100 are of RFC 8798. The sign % itself
 * means a ratio there, 0.165 and not 16.5, and is so often sent wrongly that it is not taken at all.
 */
const UNITS: Record<Exclude<Quantity, 'waterPresent'>, string> = {
  tempC: 'Cel',
  rhPct: '%RH',
  woodMcPct: '/100',
  surfaceTempC: 'Cel',
  rainMm: 'mm',
  powerW: 'W',
  condensateL: 'l',
  batteryV: 'V',
}
/** Without a probe before it the battery is the logger's own, so it stands here too. */
const OWN_UNITS: Record<string, string> = { batteryV: 'V', signalDbm: 'dBm', clockS: 's' }

/** A device by its URN (RFC 9039), such as `urn:dev:mac:0024befffe804ff1:`; which one it is, the topic says. */
const DEVICE = /^urn:dev:[a-z]+:[^:/]+[:/]?/
const OWN_PART = /^(?:([^:/]+)[:/])?([^:/]+)$/

/** @param arrivedAt UTC epoch ms, what "now" means in the pack */
export function readSenml(payload: Uint8Array, arrivedAt: number): Understood {
  const read = readJson(payload)
  if (!read.ok) return refusedWhole(read.refusal)
  const pack = read.json
  if (!Array.isArray(pack) || pack.length === 0) {
    const problem = `The payload is ${said(pack)}, expected an array of SenML records.`
    const fix = 'Send SenML as RFC 8428, section 5, has it; our own JSON goes to the topic that ends in /readings.'
    return refusedWhole(refusal('malformed', problem, fix))
  }
  if (pack.length > MOST_RECORDS) {
    const problem = `The pack holds ${pack.length} records; at most ${MOST_RECORDS} are taken.`
    return refusedWhole(refusal('oversized', problem, 'Send a backlog in parts.'))
  }
  const resolved = resolveSenml(pack)
  return resolved.ok ? understood(resolved.records, arrivedAt) : refusedWhole(resolved.refusal)
}

function understood(records: readonly SenmlRecord[], arrivedAt: number): Understood {
  const refused: MessageRefusal[] = []
  const own: JsonObject = {}
  const readings = new Map<string, MessageReading>()
  for (const record of records) {
    const name = nameOf(record)
    if ('reason' in name) {
      refused.push(name)
      continue
    }
    if (name.own !== undefined && own[name.own] !== undefined) {
      // Which of two counts was meant cannot be told, and a number wrongly taken as done would be a message lost.
      const problem = `${record.place} tells ${name.own} again.`
      return refusedWhole(refusal('malformed', problem, 'Tell it once in a pack.'))
    }
    const flaw = name.own !== undefined ? putOwn(own, name.own, record) : putReading(readings, name, record, arrivedAt)
    if (flaw !== null) refused.push(flaw)
  }
  const { sequence, refused: badSequence } = sequenceOf(own)
  if (badSequence !== null) return refusedWhole(badSequence)
  const told = toldOf(own, refused)
  const [first] = refused
  if (first !== undefined && readings.size === 0 && Object.keys(told).length === 0) {
    return { ok: false, refusal: first, sequence }
  }
  if (readings.size === 0 && Object.keys(own).length === 0) {
    const problem = 'The pack holds base fields alone.'
    return { ok: false, refusal: refusal('malformed', problem, 'Send at least one record with a value.'), sequence }
  }
  if (readings.size > MOST_READINGS) {
    const problem = `The pack holds ${readings.size} readings; at most ${MOST_READINGS} are taken at once.`
    return { ok: false, refusal: refusal('oversized', problem, 'Send a backlog in parts.'), sequence }
  }
  return { ok: true, message: { readings: [...readings.values()], sequence, told, refused } }
}

type Name = { own: string } | { own?: undefined; probe: string; quantity: Quantity }

/**
 * `tempC`, `wood:tempC` or `wood/tempC`, after a device's URN or alone. However it is split between base name and name,
 * a record never ends up at another probe than the one it names.
 */
function nameOf({ name, place }: SenmlRecord): Name | MessageRefusal {
  const parts = OWN_PART.exec(name.replace(DEVICE, ''))
  if (parts === null) {
    const problem = `${place} has the name ${said(name)}, which does not tell what was measured.`
    const fix = `Let it be a quantity, or a probe, a colon and a quantity, such as wood:tempC; before it nothing, or urn:dev:mac:0024befffe804ff1: or the like.`
    return refusal('malformed', problem, fix)
  }
  const [, probe, last = ''] = parts
  if (probe === undefined && OWN_FIELDS.includes(last)) return { own: last }
  const quantity = QUANTITY_NAMES.find((one) => one === last)
  if (quantity !== undefined) return { probe: probe ?? DEFAULT_PROBE, quantity }
  return strangeName(last, probe === undefined ? KNOWN_NAMES : QUANTITY_NAMES, `${place}: `)
}

function putOwn(own: JsonObject, field: string, record: SenmlRecord): MessageRefusal | null {
  const unit = OWN_UNITS[field]
  if (unit !== undefined && record.unit !== unit) return wrongUnit(record, unit)
  own[field] = record.value
  return null
}

function putReading(
  readings: Map<string, MessageReading>,
  { probe, quantity }: Extract<Name, { probe: string }>,
  record: SenmlRecord,
  arrivedAt: number,
): MessageRefusal | null {
  const { place, form, value: sent, timeS } = record
  const called = `${place} (${quantity})`
  if (quantity !== 'waterPresent' && record.unit !== UNITS[quantity]) return wrongUnit(record, UNITS[quantity])
  if (form !== 'v' && !(form === 'vb' && quantity === 'waterPresent')) {
    const right = quantity === 'waterPresent' ? 'vb, or v 0 or 1' : 'v'
    return refusal('malformed', `${called} has its value in ${form}, expected ${right}.`, `Send it as ${right}.`)
  }
  const value = quantityValue(quantity, sent, called)
  if (typeof value !== 'number') return value
  const byArrival = timeS < RELATIVE_BELOW_S
  const at = Math.round(byArrival ? arrivedAt + timeS * 1000 : timeS * 1000)
  const flaw = untimely(at, arrivedAt, `the time of ${called}`, isTimely(timeS, arrivedAt))
  if (flaw !== null) return flaw
  const key = `${probe} ${at}`
  const reading = readings.get(key) ?? { probe, at, byArrival, values: {} }
  const before = reading.values[quantity]
  if (before !== undefined && before !== value) {
    const problem = `${called} is ${value}, and ${before} before it in the same pack, both at ${new Date(at).toISOString()}.`
    return refusal('differs', problem, 'Give each reading an instant of its own, and each probe its own name.')
  }
  reading.values[quantity] = value
  readings.set(key, reading)
  return null
}

const wrongUnit = ({ place, name, unit }: SenmlRecord, right: string): MessageRefusal =>
  refusal(
    'wrong unit',
    `${place} (${printable(name)}) has ${unit === undefined ? 'no unit' : `the unit ${said(unit)}`}.`,
    `Measure it in ${right} and send it with the unit ${right}.`,
  )
