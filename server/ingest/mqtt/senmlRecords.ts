/** SenML in JSON (RFC 8428) as such: records with their base values worked in. What they mean here is read elsewhere. */
import { isObject, type Json, type JsonObject, printable, refusal, said } from './json.ts'
import type { MessageRefusal } from './message.ts'

export interface SenmlRecord {
  /** What it is called in sentences. */
  place: string
  name: string
  unit: string | undefined
  /** Base time and time together: from 2^28 on seconds since 1970, below it seconds from now. */
  timeS: number
  /** Which of the fields for a value it has; `s` is a sum over time without a value. */
  form: 'v' | 'vb' | 'vs' | 'vd' | 's'
  value: number | boolean | string
}

/** Section 4.4: a higher one may mean other things by the same words. */
const VERSION = 10
/** Table 2. */
const NUMBERS = ['bt', 'bv', 'bs', 'bver', 'v', 's', 't', 'ut'] as const
const TEXTS = ['bn', 'bu', 'n', 'u', 'vs', 'vd'] as const
const VALUES = ['v', 'vb', 'vs', 'vd'] as const
const REGULAR: readonly string[] = ['n', 'u', 't', 'ut', 's', ...VALUES]
/** Section 4.5.1; the length is ours. */
const NAME = /^[A-Za-z0-9][A-Za-z0-9\-:._/]{0,199}$/

/** By section 4.6; a record of base fields alone gives none, as in section 5.1.7. */
export function resolveSenml(
  pack: readonly Json[],
): { ok: true; records: SenmlRecord[] } | { ok: false; refusal: MessageRefusal } {
  const records: SenmlRecord[] = []
  const base: Base = { name: '', timeS: 0, unit: undefined, value: 0, version: undefined }
  for (const [i, sent] of pack.entries()) {
    const place = `record ${i}`
    if (!isObject(sent)) {
      const problem = `${place} is ${said(sent)}, expected an object.`
      return { ok: false, refusal: refusal('malformed', problem, 'See RFC 8428, section 5.') }
    }
    const flaw = flawOf(sent, place) ?? withBase(sent, place, base)
    if (flaw !== null) return { ok: false, refusal: flaw }
    if (!Object.keys(sent).some((field) => REGULAR.includes(field))) continue
    const record = resolved(sent, place, base)
    if ('reason' in record) return { ok: false, refusal: record }
    records.push(record)
  }
  return { ok: true, records }
}

interface Base {
  name: string
  timeS: number
  unit: string | undefined
  value: number
  /** Of the records so far. */
  version: number | undefined
}

function flawOf(sent: JsonObject, place: string): MessageRefusal | null {
  const strange = Object.keys(sent).find((field) => field.endsWith('_'))
  if (strange !== undefined) {
    const problem = `${place} has the field ${printable(strange)}, which is not known here.`
    return refusal(
      'malformed',
      problem,
      'Leave it out: a field ending in _ must be understood or refused (RFC 8428, 4.4).',
    )
  }
  const wrong = (field: string, expected: string) => {
    const problem = `${place} has ${field} ${said(sent[field])}, expected ${expected}.`
    return refusal('malformed', problem, 'See RFC 8428, section 5, table 2.')
  }
  for (const field of NUMBERS) {
    if (sent[field] !== undefined && !Number.isFinite(sent[field])) return wrong(field, 'a number')
  }
  for (const field of TEXTS) {
    if (sent[field] !== undefined && typeof sent[field] !== 'string') return wrong(field, 'a text')
  }
  if (sent.vb !== undefined && typeof sent.vb !== 'boolean') return wrong('vb', 'true or false')
  return null
}

/** Base values hold from their record on, the record itself included. */
function withBase(sent: JsonObject, place: string, base: Base): MessageRefusal | null {
  const { bver, bn, bt, bu, bv } = sent as { bver?: number; bn?: string; bt?: number; bu?: string; bv?: number }
  if (bver !== undefined && !(Number.isInteger(bver) && bver >= 1 && bver <= VERSION)) {
    const problem = `${place} has bver ${bver}; versions 1 to ${VERSION} are understood.`
    return refusal('malformed', problem, 'Send SenML as RFC 8428 has it, and leave bver out.')
  }
  if (bver !== undefined && base.version !== undefined && bver !== base.version) {
    const problem = `${place} has bver ${bver}, the records before it ${base.version}.`
    return refusal('malformed', problem, 'Send one version in a pack (RFC 8428, section 4.4).')
  }
  base.version ??= bver ?? VERSION
  base.name = bn ?? base.name
  base.timeS = bt ?? base.timeS
  base.unit = bu ?? base.unit
  base.value = bv ?? base.value
  return null
}

function resolved(sent: JsonObject, place: string, base: Base): SenmlRecord | MessageRefusal {
  const { n = '', u, t = 0 } = sent as { n?: string; u?: string; t?: number }
  const name = base.name + n
  if (!NAME.test(name)) {
    const problem = `${place} has the name ${said(name)}.`
    return refusal(
      'malformed',
      problem,
      'Use up to 200 letters A to Z, digits and - : . / _ (RFC 8428, section 4.5.1).',
    )
  }
  const given = VALUES.filter((field) => sent[field] !== undefined)
  if (given.length > 1) {
    const problem = `${place} (${printable(name)}) has ${given.join(' and ')}.`
    return refusal('malformed', problem, 'Give one value (RFC 8428, section 4.2).')
  }
  const form = given[0] ?? (sent.s === undefined ? null : 's')
  if (form === null) {
    const problem = `${place} (${printable(name)}) has no value.`
    return refusal('malformed', problem, 'Give v, or vb for true and false (RFC 8428, section 4.2).')
  }
  const value = sent[form] as SenmlRecord['value']
  return {
    place,
    name,
    unit: u ?? base.unit,
    timeS: base.timeS + t,
    form,
    value: form === 'v' ? (value as number) + base.value : value,
  }
}
