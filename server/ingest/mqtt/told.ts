/** What stands around the readings of a message: where it stands in the count, and what the logger says of itself. */
import { type JsonObject, printable, refusal, said } from './json.ts'
import type { LoggerTold, MessageRefusal, Sequence } from './message.ts'

/** Of the fields around the readings, with the words for what each must be. */
export const TOLD_FIELDS = ['batteryV', 'signalDbm', 'firmware', 'clockS'] as const
export const SEQUENCE_FIELDS = ['seq', 'run', 'oldest'] as const

const HIGHEST_SEQ = 4_294_967_295
const RUN = /^[\x21-\x7e]{1,32}$/
const MOST_FIRMWARE = 64
/** 2000 to 2100: outside, the clock of the logger was never set. */
const CLOCK_RANGE_S = [946_684_800, 4_102_444_800] as const

export function sequenceOf(json: JsonObject): { sequence: Sequence | null; refused: MessageRefusal | null } {
  const { seq, run, oldest } = json
  const bad = (problem: string, fix: string) => ({ sequence: null, refused: refusal('malformed', problem, fix) })
  if (seq === undefined) {
    const orphan = run !== undefined ? 'run' : oldest !== undefined ? 'oldest' : null
    return orphan === null
      ? { sequence: null, refused: null }
      : bad(`${orphan} stands without seq.`, 'Number the message with seq, or leave it out.')
  }
  if (!isCount(seq))
    return bad(`seq is ${said(seq)}, expected a whole number from 1.`, 'Count messages 1, 2, 3 and so on.')
  if (typeof run !== 'string' || !RUN.test(run)) {
    return bad(
      run === undefined ? 'seq stands without run.' : `run is ${said(run)}, expected 1 to 32 plain characters.`,
      'Name the count with run, and another one when it begins anew, such as 4 random hexadecimal digits.',
    )
  }
  if (oldest !== undefined && !(isCount(oldest) && oldest <= seq)) {
    return bad(
      `oldest is ${said(oldest)}, expected a whole number from 1 to seq.`,
      'Tell the oldest number still kept.',
    )
  }
  return { sequence: { run, number: seq, oldest: oldest ?? null }, refused: null }
}

const isCount = (value: unknown): value is number =>
  typeof value === 'number' && Number.isInteger(value) && value >= 1 && value <= HIGHEST_SEQ

/** What cannot be is refused alone; the readings count all the same. */
export function toldOf(json: JsonObject, refused: MessageRefusal[]): LoggerTold {
  const told: LoggerTold = {}
  const number = (name: (typeof TOLD_FIELDS)[number], low: number, high: number): number | undefined => {
    const value = json[name]
    if (value === undefined || value === null) return undefined
    if (typeof value === 'number' && value >= low && value <= high) return value
    refused.push(
      refusal(
        typeof value === 'number' ? 'out of range' : 'malformed',
        `${name} is ${said(value)}, expected a number from ${low} to ${high}.`,
        'Correct it, or leave it out.',
      ),
    )
    return undefined
  }
  const batteryV = number('batteryV', 0, 60)
  if (batteryV !== undefined) told.batteryV = batteryV
  const signalDbm = number('signalDbm', -200, 20)
  if (signalDbm !== undefined) told.signalDbm = signalDbm
  const clockS = number('clockS', ...CLOCK_RANGE_S)
  if (clockS !== undefined) told.clockAt = Math.round(clockS * 1000)
  const { firmware } = json
  if (typeof firmware === 'string' && firmware.length >= 1 && firmware.length <= MOST_FIRMWARE) {
    told.firmware = printable(firmware, MOST_FIRMWARE)
  } else if (firmware !== undefined && firmware !== null) {
    refused.push(
      refusal(
        'malformed',
        `firmware is ${said(firmware)}, expected a text of 1 to ${MOST_FIRMWARE} characters.`,
        'Shorten it.',
      ),
    )
  }
  return told
}
