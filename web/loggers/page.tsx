/** All loggers by house, those that need somebody first; and from here to everything about them. */
import { useEffect, useState } from 'preact/hooks'
import type { Logger } from '../../server/http/contract/loggers.ts'
import { usePerson } from '../base/person.ts'
import { goTo, Link } from '../base/router.tsx'
import { momentText } from '../base/time.ts'
import { countNeeds, type Group, grouped, labelText, matching, needsSomebody } from './groups.ts'
import { IntakeState, SilentHouseLine } from './intake.tsx'
import { useLive } from './live.ts'
import './loggers.css'
import { Age, LiveState, StandingChip } from './parts.tsx'
import { RefusedSection } from './refused.tsx'
import { fullName, gapsText, lastAt, readingsText, zoneOf } from './words.ts'

export default function LoggersPage() {
  const live = useLive()
  const [wanted, setWanted] = useState('')
  const { loggers, intake } = live
  useEffect(() => {
    document.title = 'Loggers · Underjoist'
  }, [])
  const inService = (loggers ?? []).filter(({ standing }) => standing !== 'retired')
  const retired = matching(
    (loggers ?? []).filter(({ standing }) => standing === 'retired'),
    wanted,
  )
  const silent = intake?.silentHouses ?? []
  const groups = grouped(matching(inService, wanted), silent)
  return (
    <>
      <h1 tabIndex={-1}>
        {loggers === null ? 'Loggers' : headline(inService.length, countNeeds(grouped(inService, silent)))}
      </h1>
      {intake !== null && <IntakeState intake={intake} />}
      <LiveState live={live} />
      <nav class="row no-print logger-links" aria-label="About loggers">
        <Link to="/loggers/new" class="button first">
          Enroll loggers
        </Link>
        <Link to="/live">Live</Link>
        <Link to="/checks">Checks</Link>
        <Link to="/stations">Weather stations</Link>
        <a href="#refused">Refused messages</a>
      </nav>
      <div class="logger-finders no-print">
        <label class="search">
          <span>Search by name, code, house or spot</span>
          <input type="search" value={wanted} onInput={(event) => setWanted(event.currentTarget.value)} />
        </label>
        <ByCode />
      </div>
      {loggers === null && live.by === 'events' && (
        <p class="awaiting quiet" role="status">
          Loading the loggers.
        </p>
      )}
      {groups.map((group) => (
        <HouseGroup key={group.house?.key ?? ''} group={group} now={live.now} />
      ))}
      {loggers !== null && inService.length === 0 && (
        <p class="section">
          No logger is enrolled. Enroll one, and it gets a code for its label and, with radio, a secret to sign in with.
        </p>
      )}
      {inService.length > 0 && groups.length === 0 && retired.length === 0 && (
        <p class="section">No logger here is called that. Clear the search to see all.</p>
      )}
      {retired.length > 0 && (
        <details class="section">
          <summary>Retired: {retired.length}</summary>
          <Rows loggers={retired} now={live.now} />
        </details>
      )}
      {loggers !== null && <RefusedSection loggers={loggers} />}
    </>
  )
}

function headline(all: number, needs: number): string {
  if (all === 0) return 'No loggers yet'
  const loggers = all === 1 ? 'One logger' : `${all} loggers`
  return needs === 0
    ? `${loggers}; none needs somebody`
    : `${loggers}; ${needs === 1 ? 'one thing needs' : `${needs} need`} somebody`
}

/** To the page of the logger in one's hand. */
function ByCode() {
  const [typed, setTyped] = useState('')
  const text = labelText(typed)
  return (
    <form
      class="by-code"
      onSubmit={(event) => {
        event.preventDefault()
        if (text !== '') goTo(`/loggers/${encodeURIComponent(text)}`)
      }}
    >
      <label>
        <span>Code on the label</span>
        <input
          type="text"
          autocapitalize="characters"
          autocomplete="off"
          spellcheck={false}
          value={typed}
          onInput={(event) => setTyped(event.currentTarget.value)}
        />
      </label>
      <button type="submit" disabled={text === ''}>
        Open
      </button>
    </form>
  )
}

function HouseGroup({ group: { house, loggers, silent }, now }: { group: Group; now: () => number }) {
  const id = `house-${house?.key ?? 'none'}`
  const others = silent === null ? loggers : loggers.filter(({ standing }) => standing !== 'late')
  return (
    <section class="section logger-group" aria-labelledby={id}>
      <h2 id={id}>{house === null ? 'At no house yet' : <Link to={`/houses/${house.key}`}>{house.name}</Link>}</h2>
      {silent !== null && <SilentHouseLine silent={silent} now={now} />}
      <Rows loggers={others} now={now} />
    </section>
  )
}

function Rows({ loggers, now }: { loggers: readonly Logger[]; now: () => number }) {
  if (loggers.length === 0) return null
  return (
    <ul class="logger-rows">
      {loggers.map((logger) => (
        <Row key={logger.key} logger={logger} now={now} />
      ))}
    </ul>
  )
}

function Row({ logger, now }: { logger: Logger; now: () => number }) {
  const { units } = usePerson()
  const { heardAt, hasRadio } = logger
  const values = readingsText(logger, units)
  const gaps = gapsText(logger)
  const last = lastAt(logger)
  const places = [...new Set(logger.probes.flatMap(({ placed }) => placed?.spotName ?? []))]
  return (
    <li class={needsSomebody(logger) ? 'logger-row needs' : 'logger-row'}>
      <div>
        <h3>
          <Link to={`/loggers/${encodeURIComponent(logger.key)}`}>{fullName(logger)}</Link>
        </h3>
        <p class="small quiet">{places.length === 0 ? 'hangs nowhere' : places.join('; ')}</p>
      </div>
      <p>
        {values}
        {!hasRadio && last !== null && <span class="small quiet row-note">{momentText(last, zoneOf(logger))}</span>}
        {gaps !== null && <span class="small quiet row-note">{gaps}</span>}
      </p>
      <p class="logger-row-standing">
        <StandingChip standing={logger.standing} />{' '}
        {heardAt !== null && hasRadio && (
          <span class="small">
            <Age at={heardAt} now={now} timeZone={zoneOf(logger)} />
          </span>
        )}
      </p>
    </li>
  )
}
