/** Did it freeze under the house, or come near it? For pipes. */
import type { Thresholds } from '../advice/defaults.ts'
import { freezing as coldIn } from '../moisture/freezing.ts'
import { localTimeText } from '../series/localTime.ts'
import { quantile } from '../series/robust.ts'
import { cannotTell, type Finding } from './finding.ts'
import type { FreezingData } from './findingData.ts'
import { observedSpaces } from './observedHouse.ts'
import type { StudiedHouse } from './studiedHouse.ts'

const QUESTION = 'freezing'

export function freezing(house: StudiedHouse, held: Thresholds): Finding[] {
  const spaces = observedSpaces(house)
  if (spaces.length === 0) return [cannotTell(QUESTION, {}, 'Whether it froze is not known.', ['a placed logger'])]
  return spaces.map(({ space, spots, observed }): Finding => {
    const found = coldIn(observed, held)
    const known = observed.hours - found.missingHours
    const subject = { space: space.key }
    if (known === 0) {
      return cannotTell(QUESTION, subject, `${space.name}: whether it froze is not known.`, [
        'temperature in the space',
      ])
    }
    const data: FreezingData = { events: found.events }
    const lowest = quantile(
      observed.spots.map(({ tempC }) => quantile(tempC, 0)),
      0,
    )
    const events = found.events.map(({ from, spots: paths }) => {
      const names = paths.map((path) => spots.find((spot) => spot.path === path)!.name)
      return `Frost from ${localTimeText(from, house.tree.timeZone).replace('T', ' ')} at ${names.join(', ')}.`
    })
    const sentence =
      found.events.length > 0
        ? `${space.name}: it froze ${found.events.length === 1 ? 'once' : `${found.events.length} times`}; the lowest was {lowest}.`
        : found.watchHours > 0
          ? `${space.name}: no frost of {frostHours} or longer, but {watch} below {watchLine}; the lowest was {lowest}.`
          : `${space.name}: it never came near freezing; the lowest was {lowest}.`
    return {
      question: QUESTION,
      subject,
      sentence,
      numbers: {
        lowest: { value: lowest, unit: '°C' },
        watch: { value: found.watchHours, unit: 'h' },
        watchLine: { value: held.freezeWatchC, unit: '°C' },
        frostHours: { value: held.freezeEventHours, unit: 'h' },
        missing: { value: found.missingHours, unit: 'h' },
      },
      evidenceFor: events,
      evidenceAgainst: found.missingHours > 0 ? ['For {missing} no logger was heard; cold may hide there.'] : [],
      certainty: 'shown',
      wouldChangeIt: 'A logger beside the pipe at the coldest wall.',
      data,
    }
  })
}
