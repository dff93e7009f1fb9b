/** A house of which little is known yet, for tests to fill in. */
import type { HouseFindings } from '../../server/advice/clues.ts'
import type { Coupling } from '../../server/moisture/coupling.ts'
import type { DayMean } from '../../server/moisture/dayStatistics.ts'

export const days = (mid: number, margin = 30): DayMean => ({
  low: mid - margin,
  mid,
  high: mid + margin,
  days: 20,
  independentDays: 10,
})

export function couplingOf(verdict: Exclude<Coupling['verdict'], 'cannot tell'>): Coupling {
  return {
    verdict,
    slope: { slope: { low: 0.9, mid: 1, high: 1.1 }, intercept: 0, r2: 0.9, days: 60, independentDays: 20 },
    lagDays: 0,
    excessPa: days(0),
    limitPa: 150,
    sentence: `The air ${verdict}.`,
  }
}

export const LITTLE_KNOWN: HouseFindings = {
  sensorsChecked: false,
  baseline: { enough: true, needs: '' },
  liquid: 'not measured',
  rain: null,
  excess: { all: null, coldDry: null, humid: null },
  coupling: null,
  coverShare: null,
  downspouts: 'not looked at',
  floor: 'not looked at',
  outdoorCondensingShare: null,
  step: 'not looked for',
  coolingDips: 'not known',
  condensationDays: null,
  meanRhPct: null,
  weeksSinceWork: null,
  excessTrend: 'cannot tell',
  woodTrend: 'cannot tell',
  houseExhausts: 'not looked at',
  warmPulses: 'not looked for',
}
