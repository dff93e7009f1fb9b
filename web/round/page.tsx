/** The round: every house under care, those that need somebody first, each with one sentence why. */
import { useEffect, useState } from 'preact/hooks'
import type { RoundAnswer } from '../../server/http/contract/round.ts'
import { send, Trouble } from '../base/api.ts'
import { useCaller } from '../base/caller.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting } from '../base/parts.tsx'
import { usePerson } from '../base/person.ts'
import { goTo, Link } from '../base/router.tsx'
import { entriesOf } from './entries.ts'
import { House } from './house.tsx'
import { Storm } from './storm.tsx'
import './round.css'

const ASK_AGAIN_MS = 2500

export function RoundPage() {
  const { units } = usePerson()
  const addsHouses = useCaller().caller.role === 'contractor'
  const loaded = useLoad<RoundAnswer>(`/api/round?units=${units}`)
  const [wanted, setWanted] = useState('')
  const round = loaded.body
  const { again } = loaded
  const waiting = round?.houses.some(({ standing }) => standing === 'waiting') ?? false
  useEffect(() => {
    if (!waiting) return
    const timer = setInterval(again, ASK_AGAIN_MS)
    return () => clearInterval(timer)
  }, [waiting, again])
  useEffect(() => {
    document.title = 'Round · Underjoist'
  }, [])

  if (round === null) {
    return (
      <>
        <h1 tabIndex={-1}>Round</h1>
        <Awaiting loaded={loaded} what="the houses" again={again} />
      </>
    )
  }
  if (round.houses.length === 0) return addsHouses ? <Empty onAdded={again} /> : <NoneGiven />
  const entries = entriesOf(round, wanted)
  const needs = round.houses.filter(
    ({ standing }) => standing === 'act' || standing === 'look' || standing === 'silent',
  ).length
  return (
    <>
      <h1 tabIndex={-1}>{headline(round.houses.length, needs)}</h1>
      <div class="row round-tools">
        <label class="search">
          <span class="unseen">Find a house</span>
          <input
            type="search"
            placeholder="Find a house"
            value={wanted}
            onInput={(event) => setWanted(event.currentTarget.value)}
          />
        </label>
        {addsHouses && (
          <Link to="/houses/new" class="button">
            New house
          </Link>
        )}
      </div>
      <ul class="round">
        {entries.map((entry) =>
          'storm' in entry ? (
            <Storm key={`storm ${entry.storm.from}`} {...entry} asOf={round.asOf} />
          ) : (
            <House key={entry.house.key} house={entry.house} asOf={round.asOf} />
          ),
        )}
      </ul>
      {entries.length === 0 && <p>No house here is called that. Clear the search to see all.</p>}
    </>
  )
}

function headline(all: number, needs: number): string {
  const houses = all === 1 ? 'One house under care' : `${all} houses under care`
  return needs === 0
    ? `${houses}; none needs somebody`
    : `${houses}; ${needs === 1 ? 'one needs' : `${needs} need`} somebody`
}

/** For technicians, who work at the houses they are given. */
function NoneGiven() {
  return (
    <>
      <h1 tabIndex={-1}>No house yet</h1>
      <p class="round-lead">No house has been given to you. Ask your contractor to.</p>
    </>
  )
}

function Empty({ onAdded }: { onAdded: () => void }) {
  const [state, setState] = useState<'resting' | 'loading' | string>('resting')
  async function load(): Promise<void> {
    setState('loading')
    try {
      const { key } = await send<{ key: string }>('POST', '/api/demo-house')
      onAdded()
      goTo(`/houses/${key}`)
    } catch (error) {
      if (!(error instanceof Trouble)) throw error
      setState(`${error.answer.message} ${error.answer.hint}`)
    }
  }
  return (
    <>
      <h1 tabIndex={-1}>No house yet</h1>
      <p class="round-lead">
        Begin with a house of your own: its name, and a logger’s file. Or look at the invented demo house first: sixteen
        months of readings, four works, and what they did.
      </p>
      <div class="row round-tools">
        <Link to="/houses/new" class="button first">
          Enter a first house
        </Link>
        <button type="button" disabled={state === 'loading'} onClick={() => void load()}>
          {state === 'loading' ? 'Loading the demo house' : 'Load the demo house'}
        </button>
      </div>
      <p role="status">{state === 'resting' || state === 'loading' ? '' : state}</p>
    </>
  )
}
