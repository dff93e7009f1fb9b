/** A replay as a page: each notice on a line, then how often the watches would have spoken. */
import type { LedgerNotice } from '../watch/ledger.ts'
import type { Replayed } from '../watch/replay.ts'
import type { Tally } from '../watch/replayTally.ts'

export function replayPage({ houses, tally }: { houses: readonly Replayed[]; tally: Tally }): string {
  const lines = houses.flatMap(({ house, from, to, notices }) => [
    `${house}, ${minute(from)} to ${minute(to)} UTC: ${notices.length === 0 ? 'nothing raised.' : ''}`.trimEnd(),
    ...notices.map((notice) => `  ${noticeLine(notice)}`),
    '',
  ])
  lines.push(`${tally.houseMonths.toFixed(1)} house-months.`, '')
  lines.push('watch                       notices  owner  contractor  hours from onset (median, longest)')
  for (const { watch, notices, toOwner, toContractor, delayH } of tally.watches) {
    const delay = delayH === null ? 'began before' : `${delayH.median.toFixed(0)}, ${delayH.longest.toFixed(0)}`
    lines.push(
      `${watch.padEnd(26)}${String(notices).padStart(9)}${String(toOwner).padStart(7)}${String(toContractor).padStart(12)}  ${delay}`,
    )
  }
  lines.push('')
  for (const [audience, told] of Object.entries(tally.audiences)) {
    lines.push(
      `${audience}: ${told.notices} notices (${told.noticesPerMonth.toFixed(2)} a house-month), ${told.letters} letters (${told.lettersPerMonth.toFixed(2)} a house-month, at most ${told.mostIn30Days} to one house in 30 days).`,
    )
  }
  lines.push(
    'Not replayed: what rests on findings (departures, answers to rain, faults beside others) and weather stations.',
  )
  return `${lines.join('\n')}\n`
}

const minute = (at: number): string => new Date(at).toISOString().slice(0, 16).replace('T', ' ')

function noticeLine({ watch, urgency, sinceAt, openedAt, body }: LedgerNotice): string {
  const where = body.place.spotName === null ? '' : ` at ${body.place.spotName}`
  const over = body.overAt === null ? 'still open' : `over ${minute(body.overAt)}`
  const told = body.told.length === 0 ? 'nobody written to' : `to ${body.told.join(' and ')}`
  return `${watch}${where}: ${urgency}, since ${minute(sinceAt)}, raised ${minute(openedAt)}, ${over}; ${told}.`
}
