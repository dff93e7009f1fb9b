/** A station entered or changed; what each column of its table is, is settled here once, by a look at the table. */
import { useState } from 'preact/hooks'
import type { ErrorAnswer } from '../../server/http/contract/error.ts'
import type { Station, StationLook } from '../../server/http/contract/stations.ts'
import { send, Trouble } from '../base/api.ts'
import { noFaults } from '../base/faults.ts'
import { TroubleBox } from '../base/parts.tsx'
import { keyFrom } from '../enter/editing.ts'
import { ChoiceField, NumberField, TextField } from '../enter/fields.tsx'
import {
  bodyOf,
  type Draft,
  draftOf,
  EVERY,
  isMapped,
  KIND_WORDS,
  missingFor,
  newDraft,
  newStationOf,
} from './asking.ts'
import { Mapping } from './mapping.tsx'

interface Given {
  /** null: a new one. */
  station: Station | null
  taken: readonly string[]
  onStored: (station: Station) => void
  onGiveUp: () => void
}

const same = (value: number) => value
const here = () => Intl.DateTimeFormat().resolvedOptions().timeZone

export function StationForm({ station, taken, onStored, onGiveUp }: Given) {
  const [draft, setDraft] = useState<Draft>(() => (station === null ? newDraft(here()) : draftOf(station)))
  const [look, setLook] = useState<StationLook | null>(null)
  const [busy, setBusy] = useState<'' | 'Looking at its table.' | 'Storing.'>('')
  const [trouble, setTrouble] = useState<ErrorAnswer | null>(null)
  const change = (some: Partial<Draft>) => {
    setDraft((present) => ({ ...present, ...some }))
    // Another address or zone is another table.
    if (some.url !== undefined || some.timeZone !== undefined || some.kind !== undefined) setLook(null)
  }

  async function asked<T>(words: typeof busy, work: () => Promise<T>): Promise<T | undefined> {
    setBusy(words)
    setTrouble(null)
    try {
      return await work()
    } catch (error) {
      if (!(error instanceof Trouble)) throw error
      setTrouble(error.answer)
      return undefined
    } finally {
      setBusy('')
    }
  }

  async function lookAgain(answers: StationLook['answers'], fileProbes: string[], file?: string): Promise<void> {
    const { url, timeZone } = draft
    const asking = {
      url: url.trim(),
      timeZone: timeZone.trim(),
      answers,
      fileProbes,
      file,
      ...(station && { key: station.key }),
    }
    const looked = await asked('Looking at its table.', () => send<StationLook>('POST', '/api/stations/look', asking))
    if (looked) setLook(looked)
  }

  async function store(): Promise<void> {
    const body = bodyOf(draft, look)
    const stored = await asked('Storing.', () =>
      station === null
        ? send<Station>('POST', '/api/stations', newStationOf(keyFrom(draft.name.slice(0, 50), [...taken]), body))
        : send<Station>('PUT', `/api/stations/${station.key}`, body),
    )
    if (stored) onStored(stored)
  }

  const missing = missingFor(draft, look, station)
  const faults = noFaults
  const fetched = draft.kind === 'https'
  return (
    <form
      class="station-form stack-14"
      noValidate
      aria-label={station === null ? 'A new station' : `Change ${station.name}`}
      onSubmit={(event) => {
        event.preventDefault()
        void store()
      }}
    >
      <div class="fields">
        <TextField
          label="Name"
          required
          path="/name"
          faults={faults}
          value={draft.name}
          onChange={(name) => change({ name: name ?? '' })}
        />
        <ChoiceField
          label="How its readings come"
          none={null}
          path="/kind"
          faults={faults}
          value={draft.kind}
          choices={(Object.entries(KIND_WORDS) as [Station['kind'], string][])
            .filter(([kind]) => station === null || (station.kind === 'mqtt') === (kind === 'mqtt'))
            .map(([value, label]) => ({ value, label }))}
          onChange={(kind) => change({ kind: kind ?? 'https' })}
        />
        {draft.kind === 'mqtt' && (
          <TextField
            label="Its probe"
            hint="Logger and probe, such as gate-7/air. Enroll the logger first, like any other; it hangs outdoors, in the shade."
            required
            path="/probe"
            faults={faults}
            value={draft.probe}
            onChange={(probe) => change({ probe: probe ?? '' })}
          />
        )}
        {!fetched && (
          <fieldset>
            <legend class="tells">It tells</legend>
            {(['air', 'rain'] as const).map((what) => (
              <label key={what} class="choice">
                <input
                  type="checkbox"
                  checked={draft.tells[what]}
                  onChange={(event) => change({ tells: { ...draft.tells, [what]: event.currentTarget.checked } })}
                />
                <span>{what === 'air' ? 'temperature and humidity' : 'rain'}</span>
              </label>
            ))}
          </fieldset>
        )}
        {fetched && (
          <>
            <div class="whole">
              <TextField
                label="Address of its table (CSV of any layout)"
                hint={
                  <>
                    https. Where the service can send a span, put <code>{'{from}'}</code> and <code>{'{to}'}</code>{' '}
                    where it wants the first and the last day (2026-05-01), or <code>{'{fromS}'}</code> and{' '}
                    <code>{'{toS}'}</code> for seconds since 1970; <code>{'{dayAfter}'}</code> is the day after the
                    last.
                    {station?.url?.includes('…') &&
                      ' What is hidden (…) stays as it is stored unless you enter the whole address anew.'}
                  </>
                }
                required
                path="/url"
                faults={faults}
                value={draft.url}
                onChange={(url) => change({ url: url ?? '' })}
              />
            </div>
            <TextField
              label="Time zone of its times"
              hint="Counts where the table names none. UTC, or such as America/New_York."
              required
              path="/timeZone"
              faults={faults}
              value={draft.timeZone}
              onChange={(timeZone) => change({ timeZone: timeZone ?? '' })}
            />
            <ChoiceField
              label="Fetch it"
              none={null}
              path="/everyMin"
              faults={faults}
              value={String(draft.everyMin)}
              choices={EVERY.map(({ everyMin, words }) => ({ value: String(everyMin), label: words }))}
              onChange={(value) => change({ everyMin: value === 'null' ? null : Number(value) })}
            />
            <NumberField
              label="Leave the newest minutes for later"
              hint="Where the newest row still changes: a stored reading is never rewritten."
              path="/holdBackMin"
              faults={faults}
              value={draft.holdBackMin}
              to={same}
              from={same}
              digits={0}
              onChange={(holdBackMin) =>
                change({ holdBackMin: Math.min(2880, Math.max(0, Math.round(holdBackMin ?? 0))) })
              }
            />
          </>
        )}
      </div>
      {draft.kind === 'file' && (
        <p class="small">Its files are brought in at a house that uses it, under “Bring in readings”.</p>
      )}
      {fetched && (
        <div class="row">
          <button
            type="button"
            disabled={busy !== '' || draft.url.trim() === ''}
            onClick={() => void lookAgain(station?.answers ?? {}, draft.fileProbes)}
          >
            {look === null ? 'Look at its table' : 'Fetch and look again'}
          </button>
          {look === null && isMapped(draft, null, station) && (
            <span class="small quiet">What its columns are was settled before.</span>
          )}
        </div>
      )}
      {look !== null && (
        <fieldset disabled={busy !== ''} aria-label="Its table">
          <Mapping
            look={look}
            timeZone={draft.timeZone}
            fileProbes={draft.fileProbes}
            onAnswers={(answers) => void lookAgain(answers, draft.fileProbes, look.file)}
            onFileProbes={(fileProbes) => {
              change({ fileProbes })
              void lookAgain(look.answers, fileProbes, look.file)
            }}
          />
        </fieldset>
      )}
      {trouble && <TroubleBox trouble={trouble} />}
      <div class="row">
        <button type="submit" class="first" disabled={busy !== '' || missing !== ''}>
          Store the station
        </button>
        <button type="button" onClick={onGiveUp}>
          Give up
        </button>
        <p role="status" class="small">
          {busy || missing}
        </p>
      </div>
    </form>
  )
}
