/** Values and the whole steps they are stored in: 21.37 °C is 2137 steps of 0.01 °C. */
import { QUANTITIES, QUANTITY_NAMES, type Quantity } from '../series/quantities.ts'

/** One probe's rows on their way in. NaN where a quantity is missing (SQLite stores it as NULL). */
export interface StepBatch {
  probeId: number
  /** UTC epoch ms, whole, in any order. */
  at: Float64Array
  /** Whole steps, one array as long as `at` for each quantity that occurs. */
  steps: Partial<Record<Quantity, Float64Array>>
}

/** Steps in one unit. Dividing by this gives back the very double that was received; multiplying by 0.01 would not. */
export const STEPS_PER_UNIT = Object.fromEntries(
  QUANTITY_NAMES.map((quantity) => [quantity, Math.round(1 / QUANTITIES[quantity].storedStep)]),
) as Record<Quantity, number>

/** Column of the table `readings`: `tempC` is `temp_c`. */
export const columnOf = (quantity: Quantity): string =>
  quantity.replace(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`)

export const sliceBatch = (batch: StepBatch, from: number, to: number): StepBatch => ({
  probeId: batch.probeId,
  at: batch.at.subarray(from, to),
  steps: Object.fromEntries(
    Object.entries(batch.steps).map(([quantity, steps]) => [quantity, steps.subarray(from, to)]),
  ),
})
