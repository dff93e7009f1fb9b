/** One check: live while it runs, what to do with each probe when it has settled, and what became of it. */
import { useEffect, useState } from 'preact/hooks'
import type { CheckAnswer, FinishCheck } from '../../server/http/contract/checks.ts'
import type { ErrorAnswer } from '../../server/http/contract/error.ts'
import { send, Trouble } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting, Section, TroubleBox } from '../base/parts.tsx'
import { usePerson } from '../base/person.ts'
import { Link } from '../base/router.tsx'
import { momentText } from '../base/time.ts'
import { Probe } from './probe.tsx'
import { type Act, endedText, hoursText, waitText } from './words.ts'

const ZONE = Intl.DateTimeFormat().resolvedOptions().timeZone
const AGAIN_MS = 15_000
const HOUR_MS = 3_600_000

export function OneCheck({ id }: { id: number }) {
  const [until, setUntil] = useState<number | null>(null)
  const loaded = useLoad<CheckAnswer>(`/api/checks/${id}${until === null ? '' : `?until=${until}`}`)
  const { body: check, again } = loaded
  const runs = check?.state === 'running'
  useEffect(() => {
    if (!runs) return
    const timer = setInterval(again, AGAIN_MS)
    return () => clearInterval(timer)
  }, [runs, again])

  return (
    <>
      <p class="back small">
        <Link to="/checks">Checks</Link>
      </p>
      <h1 tabIndex={-1}>
        {check === null ? `Check ${id}` : check.kind === 'salt' ? 'Check over a salt' : 'Side-by-side check'}
      </h1>
      {check === null ? (
        <Awaiting loaded={loaded} what="the check" again={again} />
      ) : (
        <>
          <p class="quiet">
            Begun {momentText(check.startedAt, ZONE)}
            {check.endedAt !== null && `, ended ${momentText(check.endedAt, ZONE)}`}.
          </p>
          {loaded.state === 'failed' && <TroubleBox trouble={loaded.trouble} again={again} />}
          {check.standing && (
            <Running check={check} standing={check.standing} until={until} setUntil={setUntil} again={again} />
          )}
          {check.ended && <Ended ended={check.ended} />}
          {check.state === 'given up' && <p>Given up: nothing was stored.</p>}
        </>
      )}
    </>
  )
}

interface RunningGiven {
  check: CheckAnswer
  standing: NonNullable<CheckAnswer['standing']>
  until: number | null
  setUntil: (until: number | null) => void
  again: () => void
}

function Running({ check, standing, until, setUntil, again }: RunningGiven) {
  const [acts, setActs] = useState<Record<string, Act>>({})
  const [since, setSince] = useState<FinishCheck['since']>('check')
  const [hangAgain, setHangAgain] = useState(true)
  const [trouble, setTrouble] = useState<ErrorAnswer | null>(null)
  const [sending, setSending] = useState(false)
  const wait = waitText(standing)
  const passed = (Date.now() - check.startedAt) / HOUR_MS

  async function end(step: 'finish' | 'give-up') {
    setSending(true)
    setTrouble(null)
    const body =
      step === 'give-up'
        ? { hangAgain }
        : {
            acts: Object.entries(acts).map(([probe, act]) => ({ probe, act })),
            since,
            hangAgain,
            ...(until !== null && { until }),
          }
    try {
      await send('POST', `/api/checks/${check.id}/${step}`, body)
      again()
    } catch (error) {
      if (!(error instanceof Trouble)) throw error
      setTrouble(error.answer)
    } finally {
      setSending(false)
    }
  }

  return (
    <>
      <div class="standing" role="status">
        {wait !== null && <p class="wait">{wait}</p>}
        <p>{standing.sentence}</p>
        {!standing.ready && standing.hoursToGo !== null && (
          <progress
            max={1}
            value={passed / (passed + standing.hoursToGo)}
            aria-label={`Settling, about ${hoursText(standing.hoursToGo)} to go`}
          />
        )}
      </div>
      <Section id="probes" title="The probes" note="Renewed by itself every quarter of a minute.">
        <ul class="checked">
          {standing.probes.map((probe) => (
            <Probe
              key={probe.path}
              probe={probe}
              act={standing.ready ? acts[probe.path] : null}
              onAct={(act) => setActs({ ...acts, [probe.path]: act })}
            />
          ))}
        </ul>
      </Section>
      <Section id="end" title={standing.ready ? 'Finish' : 'End it'}>
        <div class="stack-14">
          {standing.probes.some(({ hasRadio }) => !hasRadio) && (
            <Opened startedAt={check.startedAt} until={until} setUntil={setUntil} />
          )}
          {standing.ready && (
            <fieldset>
              <legend>The corrections hold</legend>
              <label class="pick">
                <input type="radio" name="since" checked={since === 'check'} onChange={() => setSince('check')} />
                <span>from this check on</span>
              </label>
              <label class="pick">
                <input type="radio" name="since" checked={since === 'placed'} onChange={() => setSince('placed')} />
                <span>since each was hung where it hung last, its readings there included</span>
              </label>
            </fieldset>
          )}
          <label class="pick">
            <input
              type="checkbox"
              checked={hangAgain}
              onChange={(event) => setHangAgain(event.currentTarget.checked)}
            />
            <span>They hang again where they hung, from now on</span>
          </label>
          {trouble && <TroubleBox trouble={trouble} />}
          <div class="row">
            {standing.ready && (
              <button type="button" class="first" disabled={sending} onClick={() => void end('finish')}>
                {sending ? 'Storing' : 'Finish and store'}
              </button>
            )}
            <button type="button" disabled={sending} onClick={() => void end('give-up')}>
              Give it up
            </button>
          </div>
          <p class="small quiet">
            To check again, give this one up and begin another. What is stored can be undone under the history of the
            house.
          </p>
        </div>
      </Section>
    </>
  )
}

/** Loggers without radio go on logging outside of the box before they are read out. */
function Opened({ startedAt, until, setUntil }: Pick<RunningGiven, 'until' | 'setUntil'> & { startedAt: number }) {
  const local = (at: number) => new Date(at - new Date(at).getTimezoneOffset() * 60_000).toISOString().slice(0, 16)
  return (
    <div class="field opened">
      <label for="opened">The box was opened at</label>
      <input
        id="opened"
        type="datetime-local"
        min={local(startedAt)}
        value={until === null ? '' : local(until)}
        aria-describedby="opened-hint"
        onChange={(event) => {
          const at = new Date(event.currentTarget.value).getTime()
          setUntil(Number.isNaN(at) ? null : at)
        }}
      />
      <p id="opened-hint" class="small quiet">
        For loggers without radio: bring their readings in first, then say when the box was opened. Empty means now.
      </p>
    </div>
  )
}

function Ended({ ended }: { ended: NonNullable<CheckAnswer['ended']> }) {
  const { units } = usePerson()
  return (
    <Section id="probes" title="What it found" note={ended.sentence}>
      <ul class="checked">
        {ended.probes.map((probe) => (
          <Probe key={probe.path} probe={probe} act={null} became={endedText(probe, units)}>
            {probe.house !== null && (
              <Link to={`/houses/${probe.house}/history`}>Undo it under the history of the house</Link>
            )}
          </Probe>
        ))}
      </ul>
    </Section>
  )
}
