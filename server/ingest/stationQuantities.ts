import type { Quantity } from '../series/quantities.ts'

/** What a weather station can tell of a house's surroundings. */
const OUTDOOR = ['tempC', 'rhPct', 'rainMm'] as const satisfies readonly Quantity[]
export type OutdoorQuantity = (typeof OUTDOOR)[number]
export const isRainOrOutdoor = (quantity: Quantity): quantity is OutdoorQuantity =>
  OUTDOOR.some((outdoor) => outdoor === quantity)
