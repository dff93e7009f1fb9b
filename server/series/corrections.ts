/** Dated corrections applied to readings when hour values are built. The readings themselves stay as received. */
import { QUANTITY_NAMES, type Quantity, type ReadingColumns } from './quantities.ts'

/**
 * `offset` is added to the quantity (in its own unit) or, for 'clock', to the instant [s]. `from` and `to` (end
 * excluded, null while it still holds) are instants as the logger told them, so that a clock correction finds the
 * rows it was written for.
 */
export interface Correction {
  quantity: Quantity | 'clock'
  offset: number
  from: number
  to: number | null
}

/**
 * Readings with the corrections applied, ascending in time. RH is kept within 0 to 100 %. Corrections of one quantity
 * that overlap add up: a salt check after a side-by-side check gives what was still missing.
 */
export function correctedReadings(readings: ReadingColumns, corrections: readonly Correction[]): ReadingColumns {
  if (corrections.length === 0) return readings
  const out: ReadingColumns = { ...readings }
  for (const { quantity, offset, from, to } of corrections) {
    const name = quantity === 'clock' ? 'at' : quantity
    const column = out[name]
    if (!column) continue
    const shifted = column === readings[name] ? column.slice() : column
    const step = quantity === 'clock' ? offset * 1000 : offset
    for (let i = 0; i < shifted.length; i++) {
      if (readings.at[i]! >= from && (to === null || readings.at[i]! < to)) shifted[i] = shifted[i]! + step
    }
    out[name] = shifted
  }
  if (out.rhPct && out.rhPct !== readings.rhPct) {
    for (let i = 0; i < out.rhPct.length; i++) out.rhPct[i] = Math.min(100, Math.max(0, out.rhPct[i]!))
  }
  return out.at === readings.at ? out : ascending(out)
}

/** Where a clock correction begins or ends, rows can change places. */
function ascending(readings: ReadingColumns): ReadingColumns {
  const { at } = readings
  let sorted = true
  for (let i = 1; i < at.length && sorted; i++) sorted = at[i]! >= at[i - 1]!
  if (sorted) return readings
  const order = Array.from(at.keys()).sort((a, b) => at[a]! - at[b]!)
  const pick = (column: Float64Array) => Float64Array.from(order, (index) => column[index]!)
  const out: ReadingColumns = { at: pick(at) }
  for (const name of QUANTITY_NAMES) {
    const column = readings[name]
    if (column) out[name] = pick(column)
  }
  return out
}
