/** Which houses take their outdoor air and rain from a station. */
import { useState } from 'preact/hooks'
import type { ErrorAnswer } from '../../server/http/contract/error.ts'
import type { RoundAnswer } from '../../server/http/contract/round.ts'
import type { Station } from '../../server/http/contract/stations.ts'
import { send, Trouble } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting, InventedStamp, TroubleBox } from '../base/parts.tsx'
import { Link } from '../base/router.tsx'

export function HousesOfStation({ station, onChanged }: { station: Station; onChanged: () => void }) {
  const [open, setOpen] = useState(false)
  return (
    <>
      <p class="small">
        {station.houses.length === 0 ? 'No house uses it.' : 'Used by '}
        {station.houses.map(({ key, name, invented }, i) => (
          <span key={key}>
            {i > 0 && ', '}
            <Link to={`/houses/${key}`}>{name}</Link> {invented && <InventedStamp />}
          </span>
        ))}
      </p>
      <details open={open} onToggle={(event) => setOpen(event.currentTarget.open)}>
        <summary>Which houses use it</summary>
        {open && <Choice station={station} onChanged={onChanged} />}
      </details>
    </>
  )
}

function Choice({ station: { key, name, houses }, onChanged }: { station: Station; onChanged: () => void }) {
  const loaded = useLoad<RoundAnswer>('/api/round')
  const [busy, setBusy] = useState(false)
  const [trouble, setTrouble] = useState<ErrorAnswer | null>(null)
  if (loaded.body === null) return <Awaiting loaded={loaded} what="the houses" again={loaded.again} />

  async function set(house: string, uses: boolean): Promise<void> {
    setBusy(true)
    setTrouble(null)
    try {
      await send(uses ? 'PUT' : 'DELETE', `/api/stations/${key}/houses/${house}`)
    } catch (error) {
      if (!(error instanceof Trouble)) throw error
      setTrouble(error.answer)
    }
    setBusy(false)
    onChanged()
  }

  const all = [...loaded.body.houses].sort((a, b) => a.name.localeCompare(b.name))
  return (
    <fieldset>
      <legend class="unseen">Houses that use {name}</legend>
      {all.length === 0 && <p class="small">There is no house yet.</p>}
      {all.map((house) => (
        <label key={house.key} class="choice">
          <input
            type="checkbox"
            disabled={busy}
            checked={houses.some((one) => one.key === house.key)}
            onChange={(event) => void set(house.key, event.currentTarget.checked)}
          />
          <span>
            {house.name} <span class="small quiet">{house.place}</span> {house.invented && <InventedStamp />}
          </span>
        </label>
      ))}
      <p class="small quiet">Each is a change of that house: it stands in its history, and is undone there.</p>
      {trouble && <TroubleBox trouble={trouble} />}
    </fieldset>
  )
}
