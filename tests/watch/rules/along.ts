/** One rule along made hours of one spot, at the default thresholds. */
import { thresholds } from '../../../server/advice/thresholds.ts'
import type { Around, Raised, Rule, SpotHour } from '../../../server/watch/rules/rule.ts'

export const HOUR = 3_600_000
export const DAY_HOURS = 24
export const START = Date.UTC(2026, 0, 1)
export const held = thresholds()

export type Made = Partial<SpotHour> & { around?: Partial<Around> }

const AROUND: Around = {
  below: true,
  closed: true,
  endsDay: false,
  outdoorVaporPa: Number.NaN,
  rain72Mm: Number.NaN,
  drained: false,
  spaceRhPct: Number.NaN,
  setPointRhPct: null,
  coldSurfaceTempC: Number.NaN,
  coldSurfaceName: null,
}

const HOURS: SpotHour = {
  at: START,
  minutes: 60,
  tempC: Number.NaN,
  tempMaxC: Number.NaN,
  rhPct: Number.NaN,
  vaporPressurePa: Number.NaN,
  dewPointMaxC: Number.NaN,
  surfaceTempC: Number.NaN,
  powerW: Number.NaN,
  batteryMinV: Number.NaN,
  waterPresentShare: Number.NaN,
  water: [],
  marks: 0,
  heard: true,
  readings: 2,
  woodMcPct: Number.NaN,
  woodMeasured: false,
  woodSettled: true,
}

export interface Going {
  /** So many more hours alike, days beginning at midnight UTC. */
  go(hours: number, made: Made): Going
  raised(): Raised | null
  /** Of all hours gone along, those after which it was raised. */
  heldHours(): number
  /** The hour to come. */
  at(): number
}

/** Its memory passes through JSON at every hour, as it does when it is kept. */
export function along(rule: Rule): Going {
  let memory = rule.start()
  let at = START
  let heldHours = 0
  const going: Going = {
    go(hours, { around, ...made }) {
      for (let i = 0; i < hours; i++, at += HOUR) {
        const endsDay = (at + HOUR - START) % (DAY_HOURS * HOUR) === 0
        rule.step(memory, { ...HOURS, ...made, at }, { ...AROUND, endsDay, ...around }, held)
        memory = JSON.parse(JSON.stringify(memory))
        if (rule.raised(memory, held) !== null) heldHours++
      }
      return going
    },
    raised: () => rule.raised(memory, held),
    heldHours: () => heldHours,
    at: () => at,
  }
  return going
}
