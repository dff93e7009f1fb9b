/** Water on the cold surface that somebody named or measures: so many hours on some days of a week. */
import { lnSaturationIce, lnSaturationWater } from '../../physics/saturation.ts'
import { CONTRACTOR, HOUR_MS, rule } from './rule.ts'

interface Memory {
  wetHours: number
  knownHours: number
  /** Condensing hours of the last days, newest last. */
  days: number[]
  dryDays: number
  firstWet: number | null
  since: number | null
  sureAt: number | null
  surface: string | null
}

export const condensation = rule<Memory>({
  watch: 'condensation',
  scope: 'spot',
  start: () => ({
    wetHours: 0,
    knownHours: 0,
    days: [],
    dryDays: 0,
    firstWet: null,
    since: null,
    sureAt: null,
    surface: null,
  }),
  step(memory, hour, around, held) {
    const measured = !Number.isNaN(hour.surfaceTempC)
    const surfaceC = measured ? hour.surfaceTempC : around.coldSurfaceTempC
    if (condenses(hour.dewPointMaxC, surfaceC)) memory.wetHours++
    if (!Number.isNaN(hour.dewPointMaxC + surfaceC)) memory.knownHours++
    if (!Number.isNaN(surfaceC)) memory.surface = around.coldSurfaceName
    if (!around.endsDay) return
    const wet = memory.wetHours > held.condensationHoursPerDay
    const known = memory.knownHours >= held.completeDayShare * 24
    memory.knownHours = 0
    if (!wet && !known) {
      memory.wetHours = 0 // such a day was not dry
      return
    }
    const end = hour.at + HOUR_MS
    memory.days.push(memory.wetHours)
    if (memory.days.length > held.condensationOfDays) memory.days.shift()
    memory.wetHours = 0
    memory.dryDays = wet ? 0 : memory.dryDays + 1
    if (wet) memory.firstWet ??= end - 24 * HOUR_MS
    const wetDays = memory.days.filter((hours) => hours > held.condensationHoursPerDay).length
    if (wetDays >= held.condensationDays) {
      memory.since ??= memory.firstWet
      memory.sureAt ??= end
    } else if (memory.dryDays >= held.condensationOffDays) memory.since = memory.sureAt = memory.firstWet = null
  },
  raised({ since, sureAt, days, surface }) {
    if (since === null || sureAt === null) return null
    const condensingHoursPerDay = days.at(-1) ?? 0
    return {
      since,
      sureAt,
      urgency: 'soon',
      audience: CONTRACTOR,
      weight: condensingHoursPerDay,
      about: surface,
      numbers: { condensingHoursPerDay },
    }
  },
})

/** The hour's highest dew point decides, for condensing can last minutes; below 0 °C frost forms earlier than dew. */
function condenses(dewPointMaxC: number, surfaceC: number): boolean {
  if (!(dewPointMaxC >= -60 && dewPointMaxC <= 100 && surfaceC >= -60 && surfaceC <= 100)) return false
  return lnSaturationWater(dewPointMaxC) >= (surfaceC < 0 ? lnSaturationIce(surfaceC) : lnSaturationWater(surfaceC))
}
