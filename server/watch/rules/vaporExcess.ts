/**
 * A vented space follows the weather, so its RH says nothing: it is damp by more vapor than outdoors, day after day. An
 * owner hears of it when the wood is moist as well.
 */
import { CONTRACTOR, EVERYBODY, HOUR_MS, isWoodDamp, reset, rule } from './rule.ts'

interface Memory {
  sumPa: number
  hours: number
  overDays: number
  underDays: number
  firstOver: number | null
  since: number | null
  sureAt: number | null
  dayPa: number | null
  woodPct: number | null
  woodMeasured: boolean
  woodDamp: boolean
}

const start = (): Memory => ({
  sumPa: 0,
  hours: 0,
  overDays: 0,
  underDays: 0,
  firstOver: null,
  since: null,
  sureAt: null,
  dayPa: null,
  woodPct: null,
  woodMeasured: false,
  woodDamp: false,
})

export const vaporExcess = rule<Memory>({
  watch: 'vapor excess',
  scope: 'space',
  start,
  step(memory, hour, around, held) {
    if (!around.below || around.closed) return reset(memory, start())
    const excess = hour.vaporPressurePa - around.outdoorVaporPa
    if (!Number.isNaN(excess)) {
      memory.sumPa += excess
      memory.hours++
    }
    if (!Number.isNaN(hour.woodMcPct)) {
      memory.woodPct = hour.woodMcPct
      memory.woodMeasured = hour.woodMeasured
      memory.woodDamp = isWoodDamp(memory.woodDamp, hour.woodMcPct, held)
    }
    if (!around.endsDay) return
    const { sumPa, hours } = memory
    memory.sumPa = memory.hours = 0
    if (hours < held.completeDayShare * 24) return // such a day neither counts nor ends a count
    const [mean, end] = [sumPa / hours, hour.at + HOUR_MS]
    memory.dayPa = mean
    if (mean > held.ventedExcessPa) {
      memory.firstOver ??= end - 24 * HOUR_MS
      memory.overDays++
    } else {
      memory.overDays = 0
      memory.firstOver = null
    }
    memory.underDays = mean < held.ventedOffPa ? memory.underDays + 1 : 0
    if (memory.overDays >= held.ventedExcessDays) {
      memory.since ??= memory.firstOver
      memory.sureAt ??= end
    } else if (memory.sureAt !== null && memory.underDays >= held.ventedOffDays) {
      memory.since = memory.sureAt = null
    }
  },
  raised({ since, sureAt, dayPa, woodPct, woodMeasured, woodDamp, overDays }, held) {
    if (since === null || sureAt === null || dayPa === null) return null
    return {
      since,
      sureAt,
      urgency: woodDamp ? 'soon' : 'note',
      audience: woodDamp ? EVERYBODY : CONTRACTOR,
      weight: dayPa,
      numbers: {
        vaporExcessPa: dayPa,
        vaporExcessDays: overDays,
        linePa: held.ventedExcessPa,
        ...(woodPct !== null && { woodMcPct: woodPct, woodMeasured: woodMeasured ? 1 : 0 }),
      },
    }
  },
})
