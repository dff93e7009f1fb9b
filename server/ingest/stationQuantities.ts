import type { Quantity } from '../series/quantities.ts'

/** What a weather station can tell of a house's surroundings. */
const OUTDOOR: readonly Quantity[] = ['tempC', 'rhPct', 'rainMm']
export const isRainOrOutdoor = (quantity: Quantity): boolean => OUTDOOR.includes(quantity)
