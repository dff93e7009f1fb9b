/** The growth index of this record's air at a surface as warm as the air. For the contractor: no owner is told of mold. */
import { MOLD_CLASSES, stepMold } from '../../physics/mold.ts'
import { CONTRACTOR, HOUR_MS, rule } from './rule.ts'

interface Memory {
  index: number
  unfavorableHours: number
  since: number | null
}

export const mold = rule<Memory>({
  watch: 'mold',
  scope: 'space',
  start: () => ({ index: 0, unfavorableHours: 0, since: null }),
  step(memory, { at, tempC, rhPct }, _around, held) {
    if (!(tempC >= -60 && tempC <= 100 && rhPct >= 0)) return // silence neither grows nor dries
    const material = MOLD_CLASSES[held.moldClass]
    const { index, unfavorableHours } = stepMold(memory, tempC, Math.min(100, rhPct), 1, {
      material,
      declineCoefficient: held.moldDecline,
    })
    memory.index = index
    memory.unfavorableHours = unfavorableHours
    if (index >= held.moldWetIndex) memory.since ??= at + HOUR_MS
    else if (index < held.moldOffIndex) memory.since = null
  },
  raised({ index, since }) {
    if (since === null) return null
    const numbers = { moldIndex: index }
    return { since, sureAt: since, urgency: 'soon', audience: CONTRACTOR, weight: index, numbers }
  },
})
