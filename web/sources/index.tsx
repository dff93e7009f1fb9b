/** Where the water comes from and goes, by path, on two bases that are never compared with one another. */
import { useState } from 'preact/hooks'
import type { BalanceContract } from '../../server/http/contract/balance.ts'
import type { HousePage } from '../../server/http/contract/page.ts'
import { Chip, Evidence, IntervalBar, Scrolls, Section } from '../base/parts.tsx'
import { usePerson } from '../base/person.ts'
import { shortDateText } from '../base/time.ts'
import { type Estimate, estimateText, plain, type Shown, shownAs } from '../base/units.ts'
import { filledTexts } from './filledTexts.ts'
import { besides, lastToldPeriod, PATH_NAMES, type Path, periodsOf, type Sources } from './periods.ts'
import './sources.css'

export function SourcesSection({ page, balance }: { page: HousePage; balance: BalanceContract | null }) {
  return (
    <Section
      id="sources"
      title="Where the water comes from"
      note="Two bases that are never compared: the water arriving now, and the water a machine would meet if it held the air."
    >
      {balance === null ? (
        <p class="quiet">The sources come when the balance of the house is made.</p>
      ) : balance.outcome === 'cannot tell' ? (
        <p>
          It cannot be told yet: {balance.reason} It needs {balance.missing.join('; ')}.
        </p>
      ) : (
        <>
          <Periods page={page} sources={balance.sources} targetRhPct={balance.targetRhPct} />
          <RestsOn balance={balance} />
        </>
      )}
    </Section>
  )
}

/** What the readings fixed of the model, and what is only usual. */
function RestsOn({ balance }: { balance: Extract<BalanceContract, { outcome: 'told' }> }) {
  const fixed = (share: number) => `${Math.round(share * 100)} %`
  const sorted = [...balance.parameters].sort((a, b) => b.dataShare - a.dataShare)
  return (
    <details class="small rests-on">
      <summary>What the balance rests on</summary>
      <p>How much of each property the readings fixed; the rest is what is usual for such houses.</p>
      <ul>
        {sorted.map(({ key, label, dataShare, reason }) => (
          <li key={key}>
            {label}: {fixed(dataShare)} <span class="quiet">(usual: {reason})</span>
          </li>
        ))}
      </ul>
      {balance.assumptions.length > 0 && (
        <p>Assumed, because it was not recorded or measured: {balance.assumptions.join(' ')}</p>
      )}
    </details>
  )
}

const PERCENT: Shown = { unit: '%', digits: 0, of: (value) => value, step: 25 }

function Periods({
  page,
  sources,
  targetRhPct,
}: {
  page: HousePage
  sources: readonly Sources[]
  targetRhPct: number
}) {
  const { units } = usePerson()
  const { timeZone } = page.house
  const periods = periodsOf(sources)
  const [chosen, setChosen] = useState(() => lastToldPeriod(periods))
  const period = periods[chosen]
  if (period === undefined) return <p>No period is long enough to tell.</p>
  const shown = shownAs('airLPerDay', units)
  const caution = period.bases[0]?.caution
  const later = chosen < periods.length - 1 && chosen === lastToldPeriod(periods) ? periods.at(-1) : undefined
  return (
    <>
      <label class="row period-choice">
        <span>Period</span>
        <select value={chosen} onChange={(event) => setChosen(Number(event.currentTarget.value))}>
          {periods.map(({ from, to }, i) => (
            <option key={from} value={i}>
              {shortDateText(from, timeZone)} to {shortDateText(to - 1, timeZone)}
              {i === periods.length - 1 ? ' (now)' : ''}
            </option>
          ))}
        </select>
      </label>
      {caution && <p class="caution">{caution}</p>}
      {later && (
        <p class="small quiet">
          This is the last period that can be told apart. Since {shortDateText(later.from, timeZone)}:{' '}
          {later.bases[0]?.caution ?? 'the readings do not rank the paths yet.'}
        </p>
      )}
      {period.bases.map((basis) => (
        <Basis key={basis.basis} sources={basis} shown={shown} targetRhPct={targetRhPct} />
      ))}
      <h3 class="why-head">Why, and what would change it</h3>
      <ul class="why">
        {byAmount(period.bases[0]?.paths ?? [])
          .filter(({ standing }) => standing !== 'below what can be told')
          .map((path) => (
            <li key={path.path}>
              <Evidence
                title={PATH_NAMES[path.path]}
                given={{
                  evidenceFor: filledTexts(path.evidenceFor, path.numbers, units),
                  evidenceAgainst: filledTexts(path.evidenceAgainst, path.numbers, units),
                  wouldChangeIt: `${filledTexts([path.wouldChangeIt], path.numbers, units)[0]} Next test: ${path.nextTest}`,
                }}
              />
            </li>
          ))}
      </ul>
    </>
  )
}

/** The largest first. */
const byAmount = (paths: readonly Path[]): Path[] =>
  [...paths].sort((a, b) => b.entersLPerDay.mid - a.entersLPerDay.mid)

/** Amounts that round to nothing are said so. */
const LEAST_L = 0.02
const amountText = (amount: Estimate, shown: Shown): string =>
  amount.high < LEAST_L ? 'nothing' : estimateText(amount, shown)

function Basis({ sources, shown, targetRhPct }: { sources: Sources; shown: Shown; targetRhPct: number }) {
  const title = sources.basis === 'as it is' ? 'As it is' : `To hold ${plain(targetRhPct, PERCENT)} % RH with a machine`
  return (
    <Scrolls label={title}>
      <table class="sources stacks">
        <caption>{title}</caption>
        <thead>
          <tr>
            <th scope="col">Path</th>
            <th scope="col">Enters, {shown.unit}</th>
            <th scope="col">Share of what enters</th>
            <th scope="col">0 to 100 %</th>
            <th scope="col">Leaves this way</th>
            <th scope="col">Certainty</th>
          </tr>
        </thead>
        <tbody>
          {byAmount(sources.paths).map((path) => (
            <tr key={path.path}>
              <th scope="row">{PATH_NAMES[path.path]}</th>
              <td data-head="enters">{amountText(path.entersLPerDay, shown)}</td>
              <td data-head="share">{shareText(path)}</td>
              <td class="bar-cell">
                {path.standing !== 'below what can be told' && (
                  <IntervalBar estimate={path.sharePct} from={0} to={100} how={PERCENT} />
                )}
              </td>
              <td data-head="leaves this way">{amountText(path.leavesLPerDay, shown)}</td>
              <td data-head="certainty">
                <Chip kind={path.standing === 'told' ? 'open' : 'unsure'}>{path.standing}</Chip>
              </td>
            </tr>
          ))}
          {besides(sources).map(({ name, enters, leaves }) => (
            <tr key={name}>
              <th scope="row">{name}</th>
              {enters ? <td data-head="enters">{amountText(enters, shown)}</td> : <td />}
              <td />
              <td class="bar-cell" />
              <td data-head="leaves this way">{amountText(leaves, shown)}</td>
              <td />
            </tr>
          ))}
        </tbody>
      </table>
    </Scrolls>
  )
}

const shareText = ({ standing, sharePct: { low, mid, high } }: Path): string =>
  standing === 'below what can be told'
    ? 'under 5 %'
    : `${plain(mid, PERCENT)} % (${plain(low, PERCENT)} to ${plain(high, PERCENT)})`
