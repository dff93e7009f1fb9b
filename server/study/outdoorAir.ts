/** Month by month: would outdoor air have dried the space or wetted it? */
import type { Thresholds } from '../advice/defaults.ts'
import { outdoorAirByMonth } from '../moisture/outdoorAir.ts'
import { cannotTell, type Finding } from './finding.ts'
import type { OutdoorAirData } from './findingData.ts'
import { checkedSideBySide, observedSpaces } from './observedHouse.ts'
import type { StudiedHouse } from './studiedHouse.ts'

const QUESTION = 'outdoor air'
type Month = OutdoorAirData['months'][number]

export function outdoorAir(house: StudiedHouse, held: Thresholds): Finding[] {
  const spaces = observedSpaces(house)
  if (spaces.length === 0) {
    return [cannotTell(QUESTION, {}, 'What outdoor air would do is not known.', ['a logger placed in a space'])]
  }
  return spaces.map(({ space, spots, observed }): Finding => {
    const checked = spots.every((spot) => checkedSideBySide(house, spot))
    const found = outdoorAirByMonth(observed, checked, held)
    const subject = { space: space.key }
    if (found.kind === 'cannot tell') {
      return cannotTell(QUESTION, subject, `${space.name}: what outdoor air would do is not known. ${found.reason}`, [
        found.needs,
      ])
    }
    const months = found.months.map(({ month, knownHours, answer }): Month => {
      if (answer.kind === 'cannot tell') {
        return { month, would: 'cannot tell', dryingShare: null, wettingShare: null, condensingShare: null }
      }
      const share = (hours: number) => hours / knownHours
      return {
        month,
        would: answer.would,
        dryingShare: share(answer.dryingHours),
        wettingShare: share(answer.wettingHours),
        condensingShare: share(answer.condensingHours),
      }
    })
    const data: OutdoorAirData = { months }
    const of = (would: Month['would']) => months.filter((one) => one.would === would).map(({ month }) => month)
    const parts = [
      ['would have dried it in', of('dry')],
      ['would have wetted it in', of('wet')],
      ['did both in', of('both')],
      ['made no difference in', of('neither')],
      ['is not known well enough in', of('cannot tell')],
    ] as const
    const words = parts.flatMap(([lead, list]) => (list.length > 0 ? [`${lead} ${monthsWords(list)}`] : []))
    return {
      question: QUESTION,
      subject,
      sentence: `${space.name}: outdoor air ${words.join('; it ')}.`,
      numbers: { margin: { value: found.marginPa, unit: 'Pa' } },
      evidenceFor: [
        'A month counts where outdoor vapor was at least {margin} below (or above) that of the space in a fifth of its hours.',
      ],
      evidenceAgainst: [
        'It judges the air outside the vents, not how much of it came in, and the space as it was in that month.',
        ...(found.coldestBasis === 'coldest air'
          ? ['No surface was measured; surfaces colder than the air would be wetted more often.']
          : []),
      ],
      certainty: 'likely',
      wouldChangeIt: 'A side-by-side check of the loggers narrows what two sensors can part by.',
      data,
    }
  })
}

const NAMES = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec']

/** 2025-11, 2025-12, 2026-01, 2026-04, 2026-05: "Nov 2025 to Jan 2026, Apr to May 2026". */
export function monthsWords(months: readonly string[]): string {
  const number = (month: string) => 12 * Number(month.slice(0, 4)) + Number(month.slice(5)) - 1
  const words = (n: number) => `${NAMES[n % 12]!} ${Math.floor(n / 12)}`
  const runs: [first: number, last: number][] = []
  for (const n of months.map(number).sort((a, b) => a - b)) {
    const run = runs.at(-1)
    if (run && n === run[1] + 1) run[1] = n
    else runs.push([n, n])
  }
  const name = (n: number) => NAMES[n % 12]!
  return runs
    .map(([first, last]) => {
      if (first === last) return words(first)
      const sameYear = Math.floor(first / 12) === Math.floor(last / 12)
      return `${sameYear ? name(first) : words(first)} to ${words(last)}`
    })
    .join(', ')
}
