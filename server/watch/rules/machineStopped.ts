/** A dehumidifier whose power is measured stands still in air that it should be drying. */
import { EVERYBODY, HOUR_MS, reset, rule } from './rule.ts'

interface Memory {
  hours: number
  first: number | null
  since: number | null
  sureAt: number | null
  rhPct: number | null
  powerW: number | null
  setPointRhPct: number | null
}

const start = (): Memory => ({
  hours: 0,
  first: null,
  since: null,
  sureAt: null,
  rhPct: null,
  powerW: null,
  setPointRhPct: null,
})

export const machineStopped = rule<Memory>({
  watch: 'dehumidifier stopped',
  scope: 'house',
  start,
  step(memory, hour, around, held) {
    if (Number.isNaN(hour.powerW)) return
    if (hour.powerW >= held.powerOffW) return reset(memory, start())
    const line = (around.setPointRhPct ?? held.closedOffRhPct) + held.machineOffRhPct
    if (Number.isNaN(around.spaceRhPct)) return
    if (around.spaceRhPct <= line) {
      if (memory.sureAt === null) reset(memory, start())
      return
    }
    memory.first ??= hour.at
    memory.rhPct = around.spaceRhPct
    memory.powerW = hour.powerW
    memory.setPointRhPct = around.setPointRhPct
    if (++memory.hours < held.machineOffHours) return
    memory.since ??= memory.first
    memory.sureAt ??= hour.at + HOUR_MS
  },
  raised({ since, sureAt, rhPct, powerW, setPointRhPct }) {
    if (since === null || sureAt === null || rhPct === null || powerW === null) return null
    return {
      since,
      sureAt,
      urgency: 'soon',
      audience: EVERYBODY,
      weight: rhPct,
      numbers: { rhPct, powerW, ...(setPointRhPct !== null && { setPointRhPct }) },
    }
  },
})
