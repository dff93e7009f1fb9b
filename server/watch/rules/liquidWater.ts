/**
 * Liquid water. One wet reading is a splash or a fault; a second in a row is water. It is gone after dry hours that were
 * heard. Water after a big rain is what the house was looked at for until drains are done, and a failure afterwards.
 */
import { CONTRACTOR, EVERYBODY, HOUR_MS, orNull, reset, rule } from './rule.ts'

interface Memory {
  wetReadings: number
  since: number | null
  sureAt: number | null
  dryHours: number
  rainMm: number | null
  drained: boolean
}

const start = (): Memory => ({
  wetReadings: 0,
  since: null,
  sureAt: null,
  dryHours: 0,
  rainMm: null,
  drained: false,
})

export const liquidWater = rule<Memory>({
  watch: 'liquid water',
  scope: 'space',
  fast: true,
  start,
  step(memory, hour, around, held) {
    if (Number.isNaN(hour.waterPresentShare)) return
    if (hour.waterPresentShare === 0) {
      memory.wetReadings = 0
      if (memory.sureAt === null) memory.since = null
      else if (hour.minutes === 60 && ++memory.dryHours >= held.liquidOffHours) reset(memory, start())
      return
    }
    memory.dryHours = 0
    for (const { at, present } of hour.water) {
      if (!present) {
        memory.wetReadings = 0
        if (memory.sureAt === null) memory.since = null
        continue
      }
      memory.wetReadings++
      memory.since ??= at
      if (memory.sureAt !== null || memory.wetReadings < held.liquidOnReadings) continue
      memory.sureAt = at
      memory.rainMm = orNull(around.rain72Mm)
      memory.drained = around.drained
    }
  },
  raised({ since, sureAt, rainMm, drained }, held) {
    if (since === null || sureAt === null) return null
    const afterRain = rainMm !== null && rainMm >= held.bigRainMm
    const expected = afterRain && !drained
    return {
      since,
      sureAt,
      urgency: expected ? 'note' : 'urgent',
      audience: expected ? CONTRACTOR : EVERYBODY,
      weight: -since / HOUR_MS,
      circumstances: [
        ...(afterRain ? (['after big rain'] as const) : []),
        ...(drained ? (['after drain work'] as const) : []),
      ],
      numbers: rainMm === null ? {} : { rainMm },
    }
  },
})
