/**
 * Air near pipes close to freezing, and at it. One cold reading covers no time: it may be a fault, and a second must
 * follow. A day's thaw between cold nights does not end it, and what froze stays urgent until it is over: or an owner
 * would get an urgent letter every night of a cold spring.
 */
import { EVERYBODY, reset, rule, type SpotHour } from './rule.ts'

interface Stay {
  minutes: number
  since: number | null
  sureAt: number | null
}

interface Memory {
  watch: Stay
  act: Stay
  /** In a row, far enough above the higher line. */
  warmHours: number
  lowestC: number | null
  tempC: number | null
}

const none = (): Stay => ({ minutes: 0, since: null, sureAt: null })
const start = (): Memory => ({ watch: none(), act: none(), warmHours: 0, lowestC: null, tempC: null })

interface Limits {
  freezeOnMinutes: number
}

type Hour = Pick<SpotHour, 'at' | 'minutes' | 'readings'>

function stay(memory: Stay, hour: Hour, cold: boolean, held: Limits): void {
  if (cold) {
    const alone = hour.readings < 2 && memory.since === null
    memory.since ??= hour.at
    memory.minutes += alone ? 0 : hour.minutes
    if (memory.minutes >= held.freezeOnMinutes) memory.sureAt ??= hour.at + hour.minutes * 60_000
  } else if (memory.sureAt === null) Object.assign(memory, none())
}

export const freezing = rule<Memory>({
  watch: 'freezing',
  scope: 'space',
  fast: true,
  start,
  step(memory, hour, around, held) {
    // Of the hour under way only what all its readings say; of one that is over its mean.
    const tempC = hour.minutes === 60 ? hour.tempC : hour.tempMaxC
    if (!around.below || Number.isNaN(tempC)) return
    stay(memory.watch, hour, tempC < held.freezeWatchC, held)
    stay(memory.act, hour, tempC <= held.freezeActC, held)
    if (memory.watch.sureAt === null) return reset(memory, { ...start(), watch: memory.watch, act: memory.act })
    if (tempC >= held.freezeWatchC + held.freezeOffK) memory.warmHours += hour.minutes / 60
    else memory.warmHours = 0
    if (memory.warmHours >= held.freezeOffHours) return reset(memory, start())
    memory.tempC = tempC
    memory.lowestC = Math.min(memory.lowestC ?? tempC, tempC)
  },
  raised({ watch, act, lowestC, tempC }, held) {
    if (watch.since === null || watch.sureAt === null || lowestC === null || tempC === null) return null
    const frozen = act.sureAt !== null
    return {
      since: watch.since,
      sureAt: watch.sureAt,
      urgency: frozen ? 'urgent' : 'soon',
      audience: EVERYBODY,
      weight: -tempC,
      numbers: { tempC, tempLowestC: lowestC, lineTempC: frozen ? held.freezeActC : held.freezeWatchC },
    }
  },
})
