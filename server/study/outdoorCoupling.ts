/** Does the air under the house simply follow outdoor air? By spot and period, from daily dew points. */
import type { Thresholds } from '../advice/defaults.ts'
import { type Coupling, couplingToOutdoorAir } from '../moisture/coupling.ts'
import { cannotTell, type Finding, type FindingNumber } from './finding.ts'
import { checkedSideBySide, inPeriod, observedSpaces } from './observedHouse.ts'
import type { StudiedHouse } from './studiedHouse.ts'
import { takeNumbersOut } from './takeNumbersOut.ts'
import { datesOf } from './workWords.ts'

const QUESTION = 'outdoor coupling'

export function outdoorCoupling(house: StudiedHouse, held: Thresholds): Finding[] {
  const spaces = observedSpaces(house)
  if (spaces.length === 0 || house.outdoor === null) {
    const missing = [
      house.outdoor === null ? 'an outdoor logger or a weather station near the house' : 'a placed logger',
    ]
    return [cannotTell(QUESTION, {}, 'Whether the air follows outdoor air is not known.', missing)]
  }
  return spaces.flatMap(({ space, spots, observed }) =>
    house.periods.flatMap((period) => {
      const cut = inPeriod(observed, period)
      const data = datesOf(period, house.tree.timeZone)
      return spots.map((spot, s): Finding => {
        const coupling = couplingToOutdoorAir(cut, cut.spots[s]!, checkedSideBySide(house, spot), held)
        const subject = { space: space.key, spot: spot.path, period: period.key }
        const numbers = couplingNumbers(coupling)
        const lead = `${spot.name}, ${data.from} to ${data.to}`
        if (coupling.verdict === 'cannot tell') {
          const reason = takeNumbersOut(
            coupling.slope === null ? coupling.reason : 'The weather of these days does not settle it.',
            numbers,
          )
          return cannotTell(
            QUESTION,
            subject,
            `${lead}: whether it follows outdoor air cannot be told. ${reason}`,
            [coupling.needs],
            {
              numbers,
              evidenceFor: coupling.slope === null ? [] : [EVIDENCE],
              data,
            },
          )
        }
        return {
          question: QUESTION,
          subject,
          sentence: `${lead}: ${VERDICTS[coupling.verdict]}`,
          numbers,
          evidenceFor: [EVIDENCE],
          evidenceAgainst: [],
          certainty: 'likely',
          wouldChangeIt: 'Days of other weather, or a side-by-side check of this logger with the outdoor one.',
          data: { ...data, verdict: coupling.verdict },
        }
      })
    }),
  )
}

const EVIDENCE =
  'For each degree the outdoor dew point moves, it moves {follows} degrees, over {days}; vapor against outdoors {excess}.'

const VERDICTS: Record<Exclude<Coupling['verdict'], 'cannot tell'>, string> = {
  'follows outdoor air': 'it follows outdoor air; nothing is added that these sensors could tell.',
  'moister than outdoor air': 'it holds {excess} more vapor than outdoor air.',
  'drier than outdoor air': 'it holds {less} less vapor than outdoor air.',
  'goes its own way': 'on average as moist as outdoor air, but it does not follow it from day to day.',
}

/** One sentence for the order of reasoning, with its numbers in plain SI. */
export function couplingWords({ verdict, slope, excessPa }: Coupling): string {
  if (verdict === 'cannot tell' || slope === null || excessPa === null) return ''
  const pa = (value: number) => value.toFixed(0)
  const excess = `${pa(excessPa.mid)} Pa (${pa(excessPa.low)} to ${pa(excessPa.high)})`
  const words = {
    'follows outdoor air': `The air follows outdoor air (${slope.slope.mid.toFixed(2)} degrees of dew point for each degree outdoors), with ${excess} against it.`,
    'moister than outdoor air': `The air holds ${excess} more vapor than outdoor air.`,
    'drier than outdoor air': `The air is drier than outdoor air (${excess}).`,
    'goes its own way': 'The air is on average as moist as outdoor air, but does not follow it from day to day.',
  }
  return words[verdict]
}

function couplingNumbers({ slope, excessPa }: Coupling): Record<string, FindingNumber> {
  const numbers: Record<string, FindingNumber> = {}
  const interval = '90 % interval'
  if (slope) {
    numbers.follows = { value: slope.slope.mid, unit: '1', low: slope.slope.low, high: slope.slope.high, interval }
    numbers.days = { value: slope.days, unit: 'days' }
  }
  if (excessPa) {
    const { low, mid: value, high } = excessPa
    numbers.excess = { value, unit: 'Pa', low, high, interval }
    if (value < 0) numbers.less = { value: -value, unit: 'Pa', low: -high, high: -low, interval }
  }
  return numbers
}
