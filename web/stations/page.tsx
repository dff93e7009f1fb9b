/** Weather stations: outdoor dew point and rain for the houses, whether each still reports, and what it needs. */
import { useEffect, useState } from 'preact/hooks'
import type { StationsAnswer } from '../../server/http/contract/stations.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting } from '../base/parts.tsx'
import '../enter/enter.css'
import { StationForm } from './form.tsx'
import { OneStation } from './station.tsx'
import './stations.css'

const ASK_AGAIN_MS = 60_000
const WHILE_FILLING_MS = 3000

export default function StationsPage() {
  const loaded = useLoad<StationsAnswer>('/api/stations')
  const [adding, setAdding] = useState(false)
  const [said, setSaid] = useState('')
  const { body, again } = loaded
  const filling = body?.stations.some(({ backfill }) => backfill?.state === 'running') ?? false
  useEffect(() => {
    const timer = setInterval(again, filling ? WHILE_FILLING_MS : ASK_AGAIN_MS)
    return () => clearInterval(timer)
  }, [filling, again])
  useEffect(() => {
    document.title = 'Weather stations · Underjoist'
  }, [])

  return (
    <>
      <h1 tabIndex={-1}>Weather stations</h1>
      <p>
        Outdoor dew point is alike over a region, so one station serves many houses. Rain differs within a few miles: a
        gauge near the house is better. Where a house has none, its findings say “rain not known”.
      </p>
      {body === null ? (
        <Awaiting loaded={loaded} what="the stations" again={again} />
      ) : (
        <>
          {body.stations.length === 0 && <p class="stations-none">There is no station yet.</p>}
          <ul class="stations">
            {body.stations.map((station) => (
              <OneStation
                key={station.key}
                station={station}
                asOf={body.asOf}
                staleAfterH={body.staleAfterH}
                onChanged={again}
              />
            ))}
          </ul>
          <section class="part" aria-labelledby="new-station">
            <h2 id="new-station">A new station</h2>
            {adding ? (
              <StationForm
                station={null}
                taken={body.stations.map(({ key }) => key)}
                onStored={({ name }) => {
                  setAdding(false)
                  setSaid(`${name} is stored. Say there which houses use it.`)
                  again()
                }}
                onGiveUp={() => setAdding(false)}
              />
            ) : (
              <button type="button" onClick={() => setAdding(true)}>
                Add a station
              </button>
            )}
            <p role="status" class="small">
              {said}
            </p>
          </section>
        </>
      )}
    </>
  )
}
