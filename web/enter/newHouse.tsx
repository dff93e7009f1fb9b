/** A first house in two minutes: a name, where it is, its space and a spot; everything else can follow. */
import { useState } from 'preact/hooks'
import type { HouseAnswer, HouseProblems, HouseTree } from '../../server/http/contract/house.ts'
import { send, Trouble } from '../base/api.ts'
import { goTo } from '../base/router.tsx'
import './enter.css'
import { type Faults, faultsOf, noFaults } from '../base/faults.ts'
import { keyFrom, withoutHoles } from './editing.ts'
import { ChoiceField, TextField } from './fields.tsx'

const FORMAT = 'underjoist house 1'

/** What a new house begins with: a space under it with one spot, and outdoors. */
export function newHouse(
  name: string,
  place: string | undefined,
  timeZone: string,
  kind: 'vented' | 'closed' | undefined,
): HouseTree {
  return withoutHoles({
    format: FORMAT,
    key: keyFrom(name, []),
    name,
    place,
    timeZone,
    spaces: [
      {
        key: 'crawl',
        name: 'Crawl space',
        role: 'crawl space',
        kind,
        spots: [{ key: 'low-corner', name: 'Low corner' }],
      },
      {
        key: 'outdoor',
        name: 'Outdoors',
        role: 'outdoor',
        spots: [{ key: 'shade', name: 'North side, in the shade' }],
      },
    ],
  })
}

export default function NewHousePage() {
  const [name, setName] = useState('')
  const [place, setPlace] = useState<string>()
  const [timeZone, setTimeZone] = useState(Intl.DateTimeFormat().resolvedOptions().timeZone)
  const [kind, setKind] = useState<'vented' | 'closed'>()
  const [faults, setFaults] = useState<Faults>(noFaults)
  const [trouble, setTrouble] = useState('')

  async function store(event: Event): Promise<void> {
    event.preventDefault()
    if (name.trim() === '') {
      setFaults(faultsOf([{ path: '/name', problem: 'Give the house a name: its street and number will do.' }]))
      return
    }
    try {
      const { house } = await send<HouseAnswer>('POST', '/api/houses', {
        house: newHouse(name.trim(), place, timeZone, kind),
      })
      goTo(`/houses/${house.key}/bring-in`)
    } catch (error) {
      if (!(error instanceof Trouble)) throw error
      setFaults(faultsOf((error.answer as HouseProblems).problems ?? []))
      setTrouble(`${error.answer.message} ${error.answer.hint}`)
    }
  }

  return (
    <>
      <h1 tabIndex={-1}>A new house</h1>
      <p>
        Four answers are enough to begin. Its crawl space gets a first spot, “Low corner”, and a place outdoors; rename
        and add as you go.
      </p>
      <form class="enter narrow" noValidate onSubmit={(event) => void store(event)}>
        <div class="fields">
          <TextField
            label="Name or address"
            required
            path="/name"
            faults={faults}
            value={name}
            onChange={(text) => setName(text ?? '')}
          />
          <TextField label="Town" path="/place" faults={faults} value={place} onChange={setPlace} />
          <TextField
            label="Time zone"
            required
            path="/timeZone"
            faults={faults}
            value={timeZone}
            onChange={(text) => setTimeZone(text ?? '')}
          />
          <ChoiceField
            label="Is the crawl space vented or closed?"
            path="/spaces/0/kind"
            faults={faults}
            value={kind}
            choices={['vented', 'closed']}
            onChange={setKind}
          />
        </div>
        <div class="row">
          <button type="submit" class="first">
            Store the house
          </button>
          <p role="status" class="fault">
            {trouble}
          </p>
        </div>
      </form>
    </>
  )
}
