/**
 * Wood: wet, and rising. Where no pins measure it, it is estimated from the air (±2 points once it has settled), and only
 * the contractor hears of it.
 */
import { CONTRACTOR, EVERYBODY, HOUR_MS, isWoodDamp, orNull, reset, rule } from './rule.ts'

interface WetMemory {
  hours: number
  firstOver: number | null
  since: number | null
  sureAt: number | null
  woodPct: number | null
  measured: boolean
}

const notWet = (): WetMemory => ({
  hours: 0,
  firstOver: null,
  since: null,
  sureAt: null,
  woodPct: null,
  measured: false,
})

export const woodWet = rule<WetMemory>({
  watch: 'wood wet',
  scope: 'space',
  start: notWet,
  step(memory, hour, _around, held) {
    if (Number.isNaN(hour.woodMcPct) || !hour.woodSettled) return
    memory.woodPct = hour.woodMcPct
    memory.measured = hour.woodMeasured
    if (hour.woodMcPct >= held.woodWetPct) {
      memory.firstOver ??= hour.at
      if (++memory.hours >= held.woodWetHours) {
        memory.since ??= memory.firstOver
        memory.sureAt ??= hour.at + HOUR_MS
      }
    } else if (memory.sureAt === null || hour.woodMcPct <= held.woodWetPct - held.woodOffPoints) reset(memory, notWet())
  },
  raised({ since, sureAt, woodPct, measured }, held) {
    if (since === null || sureAt === null || woodPct === null) return null
    return {
      since,
      sureAt,
      urgency: 'soon',
      audience: measured ? EVERYBODY : CONTRACTOR,
      weight: woodPct,
      numbers: { woodMcPct: woodPct, lineWoodMcPct: held.woodWetPct, woodMeasured: measured ? 1 : 0 },
    }
  },
})

interface RisingMemory {
  woodPct: number | null
  damp: boolean
  measured: boolean
  /** At the end of each of the last days, newest last, and how it was known. */
  days: { pct: number | null; measured: boolean }[]
  risePoints: number | null
  since: number | null
  sureAt: number | null
}

export const woodRising = rule<RisingMemory>({
  watch: 'wood rising',
  scope: 'space',
  start: () => ({ woodPct: null, damp: false, measured: false, days: [], risePoints: null, since: null, sureAt: null }),
  step(memory, hour, around, held) {
    const measured = hour.woodMeasured
    const pct = hour.woodSettled ? orNull(hour.woodMcPct) : null
    if (pct !== null) {
      memory.damp = isWoodDamp(memory.damp, pct, held)
      memory.woodPct = pct // what is not known any more does not end it
      memory.measured = measured
    }
    if (!around.endsDay) return
    memory.days.push({ pct, measured })
    if (memory.days.length <= held.woodRiseDays) return
    const then = memory.days.shift()!
    // A measurement minus an estimate is no rise.
    if (pct === null || then.pct === null || then.measured !== measured) return
    const end = hour.at + HOUR_MS
    memory.risePoints = pct - then.pct
    if (memory.risePoints >= held.woodRiseWatchPoints) {
      memory.since ??= end - held.woodRiseDays * 24 * HOUR_MS
      memory.sureAt ??= end
    } else if (memory.risePoints < held.woodRiseOffPoints) memory.since = memory.sureAt = null
  },
  raised({ since, sureAt, woodPct, damp, risePoints, measured }, held) {
    if (since === null || sureAt === null || woodPct === null || risePoints === null) return null
    return {
      since,
      sureAt,
      urgency: damp ? 'soon' : 'note',
      audience: damp && measured ? EVERYBODY : CONTRACTOR,
      weight: woodPct,
      numbers: {
        woodMcPct: woodPct,
        woodRisePoints: risePoints,
        woodRiseDays: held.woodRiseDays,
        lineWoodMcPct: held.woodDampPct,
        woodMeasured: measured ? 1 : 0,
      },
    }
  },
})
