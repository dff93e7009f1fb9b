/** Probes that need a hand: a battery below its own best, and readings that say nothing any more. */
import { markBit, UNUSABLE_BITS } from '../../series/marks.ts'
import { CONTRACTOR, HOUR_MS, reset, rule } from './rule.ts'

interface BatteryMemory {
  sumV: number
  hours: number
  bestV: number | null
  lowDays: number
  first: number | null
  since: number | null
  sureAt: number | null
  dayV: number | null
}

/** Every chemistry has its own voltage, so a battery is held against its own best day. */
export const batteryLow = rule<BatteryMemory>({
  watch: 'battery low',
  scope: 'spot',
  start: () => ({ sumV: 0, hours: 0, bestV: null, lowDays: 0, first: null, since: null, sureAt: null, dayV: null }),
  step(memory, hour, around, held) {
    if (!Number.isNaN(hour.batteryMinV)) {
      memory.sumV += hour.batteryMinV
      memory.hours++
    }
    if (!around.endsDay || memory.hours === 0) return
    const day = memory.sumV / memory.hours
    const end = hour.at + HOUR_MS
    memory.sumV = memory.hours = 0
    memory.dayV = day
    memory.bestV = Math.max(memory.bestV ?? day, day)
    if (day < held.batteryLowShare * memory.bestV) {
      memory.first ??= end - 24 * HOUR_MS
      if (++memory.lowDays >= held.batteryDays) {
        memory.since ??= memory.first
        memory.sureAt ??= end
      }
    } else if (memory.sureAt === null || day >= held.batteryOffShare * memory.bestV) {
      memory.lowDays = 0
      memory.first = memory.since = memory.sureAt = null
    }
  },
  raised({ since, sureAt, dayV, bestV }) {
    if (since === null || sureAt === null || dayV === null || bestV === null) return null
    const numbers = { batteryV: dayV, batteryGoodV: bestV }
    return { since, sureAt, urgency: 'note', audience: CONTRACTOR, weight: -dayV, numbers }
  },
})

interface BadMemory {
  badHours: number
  goodHours: number
  first: number | null
  since: number | null
  sureAt: number | null
}

const good = (): BadMemory => ({ badHours: 0, goodHours: 0, first: null, since: null, sureAt: null })
/** A visit makes a spike; that is no fault of the probe. */
const FAULT_BITS = UNUSABLE_BITS & ~markBit('spike')

export const probeBad = rule<BadMemory>({
  watch: 'probe gone bad',
  scope: 'spot',
  start: good,
  step(memory, hour, _around, held) {
    if (!hour.heard) return
    if ((hour.marks & FAULT_BITS) !== 0) {
      memory.first ??= hour.at
      memory.goodHours = 0
      if (++memory.badHours < held.badProbeHours) return
      memory.since ??= memory.first
      memory.sureAt ??= hour.at + HOUR_MS
    } else if (memory.sureAt === null || ++memory.goodHours >= held.badProbeHours) reset(memory, good())
  },
  raised({ since, sureAt, badHours }) {
    if (since === null || sureAt === null) return null
    const numbers = { badHours }
    return { since, sureAt, urgency: 'soon', audience: CONTRACTOR, weight: badHours, numbers }
  },
})
