/** Enter and correct: the facts of a house, what hangs where, what was done. Stored as one change, undone under History. */
import type { HouseAnswer } from '../../server/http/contract/house.ts'
import { ofHouse } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting, InventedStamp } from '../base/parts.tsx'
import { Link } from '../base/router.tsx'
import { Corrections } from './corrections.tsx'
import './enter.css'
import { useEditing } from './editing.ts'
import { Events } from './events.tsx'
import { Facts } from './facts.tsx'
import { Loggers } from './loggers.tsx'
import { Safety } from './safety.tsx'
import { Spaces } from './spaces.tsx'
import { Works } from './works.tsx'

const PARTS = [
  ['safety', 'Safety facts'],
  ['facts', 'The house'],
  ['spaces', 'Spaces and spots'],
  ['works-entered', 'Works'],
  ['events', 'Events'],
  ['loggers', 'Loggers'],
  ['corrections', 'Corrections'],
] as const

export default function EnterPage({ houseKey }: { houseKey: string }) {
  const loaded = useLoad<HouseAnswer>(ofHouse(houseKey))
  if (loaded.state !== 'ready') {
    return (
      <>
        <h1 tabIndex={-1}>Enter and correct</h1>
        <Awaiting loaded={loaded} what="the facts of this house" again={loaded.again} />
      </>
    )
  }
  return <Form key={loaded.body.version} stored={loaded.body} />
}

function Form({ stored }: { stored: HouseAnswer }) {
  const editing = useEditing(stored)
  const { house } = editing
  return (
    <>
      <p class="row small">
        <Link to={`/houses/${house.key}`}>{house.name}</Link>
        {house.invented && <InventedStamp />}
      </p>
      <h1 tabIndex={-1}>Enter and correct</h1>
      <p>
        Enter vents, ground cover and downspouts as they were when the readings began; works change them from their
        date. What is not known stays “not recorded”: it is never taken for a no.
      </p>
      <nav class="jumps" aria-label="Parts of this page">
        {PARTS.map(([id, name]) => (
          <a key={id} href={`#${id}`}>
            {name}
          </a>
        ))}
      </nav>
      <form
        class="enter"
        noValidate
        onSubmit={(event) => {
          event.preventDefault()
          void editing.store('corrected the house')
        }}
      >
        <Safety editing={editing} />
        <Facts editing={editing} />
        <Spaces editing={editing} />
        <Works editing={editing} />
        <Events editing={editing} />
        <Loggers editing={editing} />
        <Corrections editing={editing} />
        <div class="storebar row">
          <button type="submit" class="first" disabled={!editing.changed || editing.storing}>
            {editing.storing ? 'Storing' : 'Store the changes'}
          </button>
          <button type="button" disabled={!editing.changed || editing.storing} onClick={editing.giveUp}>
            Give them up
          </button>
          <p role="status" class={editing.said?.kind === 'trouble' ? 'fault' : ''}>
            {editing.said?.text ?? (editing.changed ? 'Not stored yet.' : '')}
          </p>
        </div>
      </form>
    </>
  )
}
