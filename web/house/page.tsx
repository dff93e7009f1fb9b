/** A house: is it dry, why not, what did the work do, what next and what not to bother with. */
import { useCallback, useEffect, useMemo, useState } from 'preact/hooks'
import type { BalanceContract, BalanceStateAnswer } from '../../server/http/contract/balance.ts'
import type { HouseAnswer } from '../../server/http/contract/house.ts'
import type { HousePage as Page } from '../../server/http/contract/page.ts'
import { ofHouse, send } from '../base/api.ts'
import { LevelMark } from '../base/levelMark.tsx'
import { type Loaded, useLoad } from '../base/load.ts'
import { Awaiting, Holds, InventedStamp, TroubleBox } from '../base/parts.tsx'
import { usePerson } from '../base/person.ts'
import { Link } from '../base/router.tsx'
import { dateText } from '../base/time.ts'
import { SectionDrawing } from '../drawing/index.tsx'
import { EffectsSection } from '../effects/index.tsx'
import { RecordSection } from '../record/index.tsx'
import { departuresOf } from '../record/picture.ts'
import { SourcesSection } from '../sources/index.tsx'
import { WhatIfSection } from '../whatif/index.tsx'
import { Baseline } from './baseline.tsx'
import { FindingsSection } from './findings.tsx'
import './house.css'
import { LoggersSection } from './loggers.tsx'
import { NextSection } from './next.tsx'
import { NoticesSection } from './notices.tsx'
import { RiskSection } from './risk.tsx'
import { StormsSection } from './storms.tsx'

const JUMPS = [
  ['drawing', 'Section'],
  ['notices', 'Notices'],
  ['record', 'Record'],
  ['works', 'Did the work do it'],
  ['sources', 'Where the water comes from'],
  ['whatif', 'What would it take'],
  ['next', 'What next'],
  ['storms', 'Storms'],
  ['risk', 'Risk'],
  ['findings', 'Findings'],
  ['loggers', 'Loggers'],
] as const

export default function HousePage({ houseKey }: { houseKey: string }) {
  const { units } = usePerson()
  const loaded = useLoad<Page>(ofHouse(houseKey, `/page?units=${units}`))
  const house = useLoad<HouseAnswer>(ofHouse(houseKey))
  const balance = useLoad<BalanceStateAnswer>(
    loaded.body === null || loaded.body.recordTo === null ? null : ofHouse(houseKey, '/balance'),
  )
  const page = loaded.body
  // The page was told before its balance was made: ask again, so that the head sentence knows what the works did.
  const { again } = loaded
  const balanceState = balance.state
  const knowsBalance = page?.knowsBalance ?? true
  useEffect(() => {
    if (balanceState === 'ready' && !knowsBalance) again()
  }, [balanceState, knowsBalance, again])
  useEffect(() => {
    if (page) document.title = `${page.house.name} · Underjoist`
  }, [page])

  const { stage, recordDrawn } = useStages(page !== null && house.body !== null)
  // What the balance adds to drawing and record comes after both stand: to compose them twice at once would keep both away.
  const told = stage < STAGES.balance ? null : balanceOf(balance)
  const departures = useMemo(() => departuresOf(told), [told])

  if (page === null || house.body === null) {
    return (
      <>
        <h1 tabIndex={-1}>{house.body?.house.name ?? 'House'}</h1>
        <Awaiting loaded={loaded} what="what the readings say" again={loaded.again} />
      </>
    )
  }
  return (
    <>
      <Head page={page} />
      <nav class="house-jumps no-print" aria-label="Parts of this page">
        {JUMPS.map(([id, name]) => (
          <a key={id} href={`#${id}`}>
            {name}
          </a>
        ))}
      </nav>
      <BalanceState houseKey={houseKey} balance={balance} />
      <SectionDrawing house={house.body.house} page={page} balance={told} units={units} />
      {stage >= STAGES.record && <NoticesSection houseKey={houseKey} timeZone={page.house.timeZone} />}
      {stage >= STAGES.record && (
        <RecordSection houseKey={houseKey} page={page} departures={departures} onDrawn={recordDrawn} />
      )}
      {stage >= STAGES.works && <AboutWater houseKey={houseKey} page={page} told={told} />}
      {stage >= STAGES.rest && <Rest page={page} />}
    </>
  )
}

/** What the balance tells. */
function AboutWater({ houseKey, page, told }: { houseKey: string; page: Page; told: BalanceContract | null }) {
  return (
    <>
      <EffectsSection houseKey={houseKey} page={page} balance={told} />
      <SourcesSection page={page} balance={told} />
      <WhatIfSection houseKey={houseKey} page={page} balance={told} />
    </>
  )
}

function Rest({ page }: { page: Page }) {
  return (
    <>
      <NextSection page={page} />
      <StormsSection page={page} />
      <RiskSection page={page} />
      <FindingsSection page={page} />
      <LoggersSection page={page} />
    </>
  )
}

/** Where the record cannot be drawn, what lies below it comes all the same. */
const LONGEST_WAIT_MS = 3000
/** Head and drawing are there from the first; what comes with each later one. */
const STAGES = { record: 1, balance: 2, works: 3, rest: 4 } as const

/**
 * Head and drawing first, then the record, then the rest: what is seen first does not wait for what lies below it, and
 * the page answers a hand between any two of them.
 */
function useStages(begun: boolean): { stage: number; recordDrawn: () => void } {
  const [stage, setStage] = useState(0)
  useEffect(() => {
    if (!begun || stage === STAGES.rest) return
    if (stage !== STAGES.record) return afterPaint(() => setStage(stage + 1))
    const timer = setTimeout(() => setStage(STAGES.balance), LONGEST_WAIT_MS)
    return () => clearTimeout(timer)
  }, [begun, stage])
  const recordDrawn = useCallback(() => {
    afterPaint(() => setStage((reached) => Math.max(reached, STAGES.balance)))
  }, [])
  return { stage, recordDrawn }
}

/** When what has been made is seen: frames stand still in a tab behind others, a timer does not. */
function afterPaint(then: () => void): () => void {
  let over = false
  const once = () => {
    if (!over) then()
    over = true
  }
  // The second frame begins when the first has been painted.
  requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(once)))
  setTimeout(once, LONGEST_FRAME_MS)
  return () => {
    over = true
  }
}
const LONGEST_FRAME_MS = 200

const balanceOf = (loaded: Loaded<BalanceStateAnswer>): BalanceContract | null =>
  loaded.body?.state === 'ready' ? loaded.body.balance : null

function Head({ page }: { page: Page }) {
  const { house, verdict, tally, encapsulate } = page
  return (
    <div class="head">
      <div>
        <p class="small head-name">
          <strong>{house.name}</strong> {house.place} {house.invented && <InventedStamp />}
        </p>
        <h1 tabIndex={-1}>{verdict.sentence}</h1>
        <div class="stack head-lead">
          {verdict.lead.map((sentence) => (
            <p key={sentence}>{sentence}</p>
          ))}
        </div>
        <p class="small quiet">
          As of {dateText(page.asOf, house.timeZone)}.{' '}
          {house.invented && page.recordTo !== null && 'The record of this invented house ends there.'}
        </p>
        {page.recordTo === null && (
          <p class="row">
            <Link to={`/houses/${house.key}/bring-in`} class="button first">
              Bring in readings
            </Link>
          </p>
        )}
      </div>
      <div class="head-side">
        {tally.length > 0 && (
          <table class="tally">
            <caption class="unseen">Spots by level</caption>
            <tbody>
              {tally.map(({ level, letters }) => (
                <tr key={level}>
                  <th scope="row">
                    <LevelMark level={level} />
                  </th>
                  <td>
                    {letters.length === 1 ? '1 spot' : `${letters.length} spots`}: {letters.join(', ')}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        )}
        <section class="encapsulate" aria-labelledby="encapsulate-head">
          <h2 id="encapsulate-head">Do I need to encapsulate this one?</h2>
          <p>
            <strong>{encapsulate.sentence}</strong>
          </p>
          <Holds holds={encapsulate.holds} />
          {encapsulate.reasons.length > 0 && (
            <ul class="small" aria-label="Reasons">
              {encapsulate.reasons.map((reason) => (
                <li key={reason}>{reason}</li>
              ))}
            </ul>
          )}
          {encapsulate.instead.length > 0 && (
            <>
              <h3 class="small">What comes first</h3>
              <ul class="small">
                {encapsulate.instead.map((step) => (
                  <li key={step}>{step}</li>
                ))}
              </ul>
            </>
          )}
        </section>
        <Baseline page={page} />
      </div>
    </div>
  )
}

/** The balance takes seconds to make: the rest of the page stands meanwhile. */
function BalanceState({
  houseKey,
  balance,
}: {
  houseKey: string
  balance: Loaded<BalanceStateAnswer> & { again: () => void }
}) {
  if (balance.state === 'being made') return <Awaiting loaded={balance} what="the moisture balance of this house" />
  if (balance.state === 'failed') return <TroubleBox trouble={balance.trouble} again={balance.again} />
  if (balance.body?.state !== 'stopped') return null
  const begin = () => void send('POST', ofHouse(houseKey, '/balance')).then(balance.again, balance.again)
  return (
    <div class="trouble" role="alert">
      <p>The balance of this house was not finished: {balance.body.job.message || 'it was canceled.'}</p>
      <button type="button" onClick={begin}>
        Make it again
      </button>
    </div>
  )
}
