/** `GET /api/houses/:id/balance/effects`: each work day by day, as it was and as it would have been without it. */
import { type Static, Type } from 'typebox'
import { Instant, Texts } from './shapes.ts'

// Left to JSON itself: a union judged value by value takes longer than everything else of the answer.
const Column = Type.Unsafe<(number | null)[]>({ description: 'one value a bucket, null where nothing was measured' })

export const EffectSeriesSchema = Type.Object({
  works: Texts,
  /** Start of each local day, from some weeks before the work to the end of its window. */
  at: Type.Array(Instant),
  /** Dew points [°C] of the daily mean vapor pressure in the space: measured, and as it would have been. */
  measuredDewPointC: Column,
  withoutDewPointC: Type.Object({ low: Column, mid: Column, high: Column }),
  /** Days that do not count, each with its reason. */
  excluded: Type.Array(Type.Object({ from: Instant, to: Instant, reason: Type.String() })),
})
export type EffectSeries = Static<typeof EffectSeriesSchema>
export const EffectSeriesListSchema = Type.Object({ effects: Type.Array(EffectSeriesSchema) })
export type EffectSeriesList = Static<typeof EffectSeriesListSchema>
