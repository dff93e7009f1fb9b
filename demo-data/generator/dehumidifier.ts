/**
 * A dehumidifier: it switches on above and off below the set point, and takes less water out of colder or drier air.
 * The curve is common practice (rated at 26.7 °C and 60 %, about half of that at 18.3 °C), frost slows it below 13 °C.
 */
export interface Dehumidifier {
  ratedLPerDay: number
  setPointRhPct: number
  hysteresisRhPct: number
}

/** Liters a day at tempC and rhPct. */
export function capacityLPerDay(ratedLPerDay: number, tempC: number, rhPct: number): number {
  const cold = 1 + 0.035 * (tempC - 26.7)
  const dry = ((rhPct - 22) / 38) ** 0.85
  const frost = Math.min(1, Math.max(0.1, (tempC - 4) / 9))
  return rhPct <= 22 ? 0 : ratedLPerDay * Math.max(0.05, cold) * dry * frost
}

/** Electric power while running [W]; it falls a little with the load. */
export const powerW = (ratedLPerDay: number, tempC: number): number =>
  (120 + 11 * ratedLPerDay) * (0.8 + 0.2 * Math.min(1.3, Math.max(0.4, tempC / 26.7)))

export function isOn(wasOn: boolean, unit: Dehumidifier, rhPct: number): boolean {
  if (rhPct > unit.setPointRhPct + unit.hysteresisRhPct / 2) return true
  if (rhPct < unit.setPointRhPct - unit.hysteresisRhPct / 2) return false
  return wasOn
}
