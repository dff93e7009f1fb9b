/** What would it take: remedies tried on the fitted house in its own weather, and the machine it would need. */
import { useEffect, useRef, useState } from 'preact/hooks'
import type { BalanceContract, WhatIfContract } from '../../server/http/contract/balance.ts'
import type { ErrorAnswer } from '../../server/http/contract/error.ts'
import type { HousePage } from '../../server/http/contract/page.ts'
import { cfmFromM3h, litersFromPints, m3hFromCfm, pintsFromLiters } from '../../server/http/contract/words.ts'
import { ofHouse, send, Trouble } from '../base/api.ts'
import { DEFERS, Section, TroubleBox } from '../base/parts.tsx'
import { usePerson } from '../base/person.ts'
import { NOTHING_TRIED, remediesOf, stands, type Tried } from './asking.ts'
import { Needs } from './need.tsx'
import { Outcome } from './outcome.tsx'
import './whatif.css'

/** While a slider moves the middle follows; the intervals come when it rests. */
const MOVING_MS = 60
const REST_MS = 350
const READ_AHEAD_MS = 1500

/** Another page of this house asks for itself. */
const ASKER = Math.random().toString(36).slice(2)

type Answer =
  | { state: 'resting' }
  | { state: 'asking'; last: WhatIfContract | null }
  | { state: 'told'; told: WhatIfContract }
  | { state: 'failed'; trouble: ErrorAnswer }

export function WhatIfSection({
  houseKey,
  page,
  balance,
}: {
  houseKey: string
  page: HousePage
  balance: BalanceContract | null
}) {
  return (
    <Section
      id="whatif"
      title="What would it take"
      note={`Tried on this house as its readings know it, in its own weather. ${DEFERS}`}
    >
      {balance === null ? (
        <p class="quiet">Remedies can be tried when the balance of the house is made.</p>
      ) : balance.outcome === 'cannot tell' ? (
        <p>
          Nothing can be tried yet: {balance.reason} It needs {balance.missing.join('; ')}.
        </p>
      ) : (
        <>
          <Needs need={balance.need} targetRhPct={balance.targetRhPct} />
          <Trial houseKey={houseKey} page={page} />
        </>
      )}
    </Section>
  )
}

function Trial({ houseKey, page }: { houseKey: string; page: HousePage }) {
  const [tried, setTried] = useState(NOTHING_TRIED)
  const answer = useAnswer(houseKey, tried)
  useEffect(() => readAhead(houseKey), [houseKey])
  const last = answer.state === 'told' ? answer.told : answer.state === 'asking' ? answer.last : null
  return (
    <div class="trial">
      <Switches tried={tried} page={page} onChange={setTried} />
      <div class="trial-outcome" aria-live="polite" aria-busy={answer.state === 'asking'}>
        {answer.state === 'resting' && <p class="quiet">Switch a remedy on, and what it would change stands here.</p>}
        {answer.state === 'asking' && (
          <p class="small quiet">
            {last === null ? 'Reading the house: the first answer takes a few seconds.' : 'Working it out.'}
          </p>
        )}
        {answer.state === 'failed' && <TroubleBox trouble={answer.trouble} />}
        {last !== null && <Outcome answer={last} />}
      </div>
    </div>
  )
}

/** The service fits the house for the first question: a question nobody waits for is asked while the page is read. */
function readAhead(houseKey: string): () => void {
  const stop = new AbortController()
  const timer = setTimeout(() => {
    const body = { remedies: [{ kind: 'ground cover' }], part: 'middle', asker: ASKER }
    void send('POST', ofHouse(houseKey, '/whatif'), body, stop.signal).catch(() => {}) // told when somebody asks
  }, READ_AHEAD_MS)
  return () => {
    clearTimeout(timer)
    stop.abort()
  }
}

/** Asks when the hand rests; a newer question drops the older one. */
function useAnswer(houseKey: string, tried: Tried): Answer {
  const [answer, setAnswer] = useState<Answer>({ state: 'resting' })
  const last = useRef<WhatIfContract | null>(null)
  useEffect(() => {
    const remedies = remediesOf(tried)
    if (remedies === null) {
      last.current = null
      setAnswer({ state: 'resting' })
      return
    }
    const stop = new AbortController()
    const ask = async (part: 'middle' | 'interval'): Promise<void> => {
      try {
        const told = await send<WhatIfContract>(
          'POST',
          ofHouse(houseKey, '/whatif'),
          { remedies, part, asker: ASKER },
          stop.signal,
        )
        last.current = told
        setAnswer(part === 'middle' ? { state: 'asking', last: told } : { state: 'told', told })
      } catch (error) {
        if (stop.signal.aborted) return
        if (!(error instanceof Trouble)) throw error
        if (error.answer.code !== 'SUPERSEDED') setAnswer({ state: 'failed', trouble: error.answer })
        // Asked again in between; the middle is then not worth asking for again.
        else if (part === 'interval') await ask(part)
      }
    }
    setAnswer({ state: 'asking', last: last.current })
    const timers = [setTimeout(() => void ask('middle'), MOVING_MS), setTimeout(() => void ask('interval'), REST_MS)]
    return () => {
      for (const timer of timers) clearTimeout(timer)
      stop.abort()
    }
  }, [houseKey, tried])
  return answer
}

function Switches({ tried, page, onChange }: { tried: Tried; page: HousePage; onChange: (tried: Tried) => void }) {
  const { units } = usePerson()
  const set = (some: Partial<Tried>) => onChange({ ...tried, ...some })
  const us = units === 'us'
  const size = us ? Math.round(pintsFromLiters(tried.ratedLPerDay)) : Math.round(tried.ratedLPerDay)
  const fan = us ? Math.round(cfmFromM3h(tried.fanM3PerHour)) : Math.round(tried.fanM3PerHour)
  return (
    <fieldset class="switches">
      <legend class="unseen">Remedies to try</legend>
      <Switch
        label="Downspouts led away"
        on={tried.drains}
        already={stands(page, ['downspout drain', 'yard drain'])}
        onChange={(drains) => set({ drains })}
      />
      <Switch
        label="Ground cover"
        on={tried.coverPct !== null}
        already={stands(page, ['ground cover', 'encapsulation'])}
        onChange={(on) => set({ coverPct: on ? 95 : null })}
      />
      {tried.coverPct !== null && (
        <Slider
          label="Ground covered"
          unit="%"
          min={0}
          max={100}
          step={5}
          value={tried.coverPct}
          onChange={(coverPct) => set({ coverPct })}
        />
      )}
      <Switch
        label="Vents sealed"
        on={tried.ventsSealed}
        already={stands(page, ['vents sealed', 'encapsulation'])}
        onChange={(ventsSealed) => set({ ventsSealed })}
      />
      <Switch
        label="Dehumidifier"
        on={tried.dehumidifier}
        already={stands(page, ['dehumidifier'])}
        onChange={(dehumidifier) => set({ dehumidifier })}
      />
      {tried.dehumidifier && (
        <>
          <Slider
            label="Rated at 80 °F / 60 %"
            unit={us ? 'pints a day' : 'liters a day'}
            min={us ? 20 : 10}
            max={us ? 180 : 85}
            step={5}
            value={size}
            onChange={(shown) => set({ ratedLPerDay: us ? litersFromPints(shown) : shown })}
          />
          <Slider
            label="Set point"
            unit="% RH"
            min={40}
            max={70}
            step={1}
            value={tried.setRhPct}
            onChange={(setRhPct) => set({ setRhPct })}
          />
        </>
      )}
      <Switch
        label="Fan in a vent"
        on={tried.ventFan}
        already={stands(page, ['vent fan'])}
        onChange={(ventFan) => set({ ventFan })}
      />
      {tried.ventFan && (
        <Slider
          label="Air moved"
          unit={us ? 'cfm' : 'm³/h'}
          min={us ? 20 : 30}
          max={us ? 300 : 500}
          step={10}
          value={fan}
          onChange={(shown) => set({ fanM3PerHour: us ? m3hFromCfm(shown) : shown })}
        />
      )}
      <button type="button" class="plain" onClick={() => onChange(NOTHING_TRIED)}>
        Take all back
      </button>
    </fieldset>
  )
}

function Switch({
  label,
  on,
  already,
  onChange,
}: {
  label: string
  on: boolean
  already: boolean
  onChange: (on: boolean) => void
}) {
  return (
    <label class="switch">
      <input type="checkbox" checked={on} onChange={(event) => onChange(event.currentTarget.checked)} />
      <span>
        {label}
        {already && <span class="small quiet"> stands already; what it did is kept</span>}
      </span>
    </label>
  )
}

function Slider({
  label,
  unit,
  value,
  onChange,
  ...range
}: {
  label: string
  unit: string
  min: number
  max: number
  step: number
  value: number
  onChange: (value: number) => void
}) {
  return (
    <label class="slider">
      <span class="small">
        {label}: <strong>{value}</strong> {unit}
      </span>
      <input
        type="range"
        {...range}
        value={value}
        aria-valuetext={`${value} ${unit}`}
        onInput={(event) => onChange(Number(event.currentTarget.value))}
      />
    </label>
  )
}
