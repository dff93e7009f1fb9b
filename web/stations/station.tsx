/** One station: what it said last, how its fetches go, and what can be done about it. */
import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'
import type { ErrorAnswer } from '../../server/http/contract/error.ts'
import type { Station, StationFetched } from '../../server/http/contract/stations.ts'
import { send, Trouble } from '../base/api.ts'
import { Chip, TroubleBox } from '../base/parts.tsx'
import { usePerson } from '../base/person.ts'
import { ageText, localDate, momentText } from '../base/time.ts'
import { withUnit } from '../base/units.ts'
import { backfillShare, EVERY, inText, KIND_WORDS } from './asking.ts'
import { StationForm } from './form.tsx'
import { HousesOfStation } from './houses.tsx'

export interface OneStationGiven {
  station: Station
  asOf: number
  staleAfterH: number
  onChanged: () => void
}

export function OneStation({ station, asOf, staleAfterH, onChanged }: OneStationGiven) {
  const [changing, setChanging] = useState(false)
  const [busy, setBusy] = useState(false)
  const [said, setSaid] = useState('')
  const [trouble, setTrouble] = useState<ErrorAnswer | null>(null)
  const { key, name, kind, stale, last, fetch } = station

  async function act(words: string, work: () => Promise<string>): Promise<void> {
    setBusy(true)
    setSaid(words)
    setTrouble(null)
    try {
      setSaid(await work())
    } catch (error) {
      if (!(error instanceof Trouble)) throw error
      setSaid('')
      setTrouble(error.answer)
    }
    setBusy(false)
    onChanged()
  }

  const path = `/api/stations/${key}`
  return (
    <li class="station stack" aria-labelledby={`station-${key}`}>
      <h2 id={`station-${key}`} class="station-name">
        {name} {stale && <Chip kind="unsure">stale</Chip>}{' '}
        {fetch.needsAnswer && <Chip kind="firm">needs an answer</Chip>}
      </h2>
      <Heard station={station} asOf={asOf} />
      {stale && (
        <p class="small">
          {last === null
            ? 'It never reported.'
            : `Its last reading is older than ${staleAfterH} h: the newest days of its houses are judged without it.`}
        </p>
      )}
      {kind === 'https' && <Fetches station={station} asOf={asOf} />}
      {kind !== 'https' && (
        <p class="small quiet">
          {KIND_WORDS[kind]}
          {station.probe !== null && `: ${station.probe}`}
        </p>
      )}
      {changing ? (
        <StationForm
          station={station}
          taken={[]}
          onStored={() => {
            setChanging(false)
            setSaid('Stored.')
            onChanged()
          }}
          onGiveUp={() => setChanging(false)}
        />
      ) : (
        <div class="row">
          {kind === 'https' && (
            <button
              type="button"
              disabled={busy}
              onClick={() =>
                void act('Fetching.', async () => wordsOf(await send<StationFetched>('POST', `${path}/fetch`)))
              }
            >
              Fetch now
            </button>
          )}
          <button type="button" class={fetch.needsAnswer ? 'first' : ''} onClick={() => setChanging(true)}>
            {fetch.needsAnswer ? 'Look at its table' : 'Change'}
          </button>
        </div>
      )}
      <p role="status" class="small">
        {said}
      </p>
      {trouble && <TroubleBox trouble={trouble} />}
      {kind === 'https' && (
        <Past
          station={station}
          disabled={busy}
          asOf={asOf}
          onBegin={(from) =>
            void act('', async () => {
              await send('POST', `${path}/backfill`, { from })
              return 'Begun; it goes on by itself.'
            })
          }
        />
      )}
      <HousesOfStation station={station} onChanged={onChanged} />
      {station.houses.length === 0 && (
        <Remove
          name={name}
          onRemove={() =>
            void act('', async () => {
              await send('DELETE', path)
              return `${name} was removed.`
            })
          }
        />
      )}
    </li>
  )
}

/** What is wrong stands above, with the station. */
const wordsOf = ({ state, sentence }: StationFetched): string =>
  state === 'stored' || state === 'unchanged' ? sentence : 'Nothing was stored.'

function Heard({ station: { last, timeZone }, asOf }: { station: Station; asOf: number }) {
  const { units } = usePerson()
  if (last === null) return <p>No reading yet.</p>
  const air = [
    ...(last.dewPointC === null ? [] : [`dew point ${withUnit(last.dewPointC, 'tempC', units)}`]),
    ...(last.tempC === null ? [] : [`air ${withUnit(last.tempC, 'tempC', units)}`]),
    ...(last.rhPct === null ? [] : [withUnit(last.rhPct, 'rhPct', units)]),
  ]
  const rain =
    last.rainMm === null ? 'rain not known' : `${withUnit(last.rainMm, 'rainMm', units)} of rain in its last 24 hours`
  return (
    <p>
      <strong>{ageText(asOf - last.at)}</strong>: {[...air, rain].join(', ')}{' '}
      <span class="small quiet">
        ({momentText(last.at, timeZone)}, {timeZone})
      </span>
    </p>
  )
}

function Fetches({ station: { fetch, url, everyMin }, asOf }: { station: Station; asOf: number }) {
  const every = EVERY.find((one) => one.everyMin === everyMin)?.words ?? `every ${everyMin} minutes`
  const went: ComponentChildren[] = [
    `Fetched ${every}.`,
    ...(fetch.okAt === null ? [] : [` Last time it went well: ${ageText(asOf - fetch.okAt)}.`]),
    ...(fetch.nextAt === null ? [] : [` Next: ${inText(fetch.nextAt - asOf)}.`]),
  ]
  return (
    <>
      <p class="small quiet station-url">{url}</p>
      <p class="small">{went}</p>
      {fetch.problem !== null && (
        <p class="fault-line">
          {fetch.problem}{' '}
          <span class="small quiet">
            {fetch.failures === 1 ? 'Once' : `${fetch.failures} times in a row`}
            {fetch.triedAt !== null && `, last ${ageText(asOf - fetch.triedAt)}`}
          </span>
        </p>
      )}
    </>
  )
}

function Past({
  station: { backfill, asksForSpan, timeZone, name },
  asOf,
  disabled,
  onBegin,
}: {
  station: Station
  asOf: number
  disabled: boolean
  onBegin: (from: string) => void
}) {
  const [from, setFrom] = useState('')
  const today = localDate(asOf, timeZone)
  return (
    <details open={backfill?.state === 'running' || backfill?.state === 'stopped'}>
      <summary>Its past</summary>
      {asksForSpan ? (
        <div class="stack">
          <form
            class="row past"
            onSubmit={(event) => {
              event.preventDefault()
              onBegin(from)
            }}
          >
            <label class="past-from">
              Fetch all since
              <input
                type="date"
                required
                max={today}
                value={from}
                onInput={(event) => setFrom(event.currentTarget.value)}
              />
            </label>
            <button type="submit" disabled={disabled || from === '' || from > today}>
              Fetch the past
            </button>
          </form>
          {backfill !== null && (
            <div role="status" class="stack">
              <p class="small">
                Since {backfill.from}: {backfill.stored.toLocaleString('en-US')} readings stored
                {backfill.state === 'running' && `, up to ${localDate(backfill.nextAt, timeZone)} so far`}
                {backfill.state === 'done' && '; all of it was asked for'}
                {backfill.state === 'stopped' && `; stopped at ${localDate(backfill.nextAt, timeZone)}`}.{' '}
                {backfill.problem}
              </p>
              {backfill.state === 'running' && (
                <progress
                  max={1}
                  value={backfillShare(backfill)}
                  aria-label={`Part of the past of ${name} that is fetched`}
                />
              )}
            </div>
          )}
        </div>
      ) : (
        <p class="small">
          Its address asks for no span. Put <code>{'{from}'}</code> and <code>{'{to}'}</code> into it, or bring the past
          in as a file.
        </p>
      )}
    </details>
  )
}

function Remove({ name, onRemove }: { name: string; onRemove: () => void }) {
  const [sure, setSure] = useState(false)
  if (!sure) {
    return (
      <button type="button" class="plain" onClick={() => setSure(true)}>
        Remove {name}
      </button>
    )
  }
  return (
    <p class="row">
      <span>Remove {name}? Its readings stay in the database, and its key is not given again.</span>
      <button type="button" class="first" onClick={onRemove}>
        Remove it
      </button>
      <button type="button" onClick={() => setSure(false)}>
        Keep it
      </button>
    </p>
  )
}
