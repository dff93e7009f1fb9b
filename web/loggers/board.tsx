/** One screen to leave on: every logger with radio of the firm or of a house, when it was heard and what it reads. */
import { useEffect } from 'preact/hooks'
import type { Logger } from '../../server/http/contract/loggers.ts'
import { noFaults } from '../base/faults.ts'
import { usePerson } from '../base/person.ts'
import { goTo, Link } from '../base/router.tsx'
import { ChoiceField } from '../enter/fields.tsx'
import '../enter/enter.css'
import { countNeeds, type Group, grouped } from './groups.ts'
import { IntakeState, SilentHouseLine } from './intake.tsx'
import { useLive } from './live.ts'
import './loggers.css'
import { Age, LiveState, StandingChip } from './parts.tsx'
import { batteryText, fullName, gapsText, valuesText, zoneOf } from './words.ts'

export default function LivePage({ ofHouse }: { ofHouse: string | null }) {
  const live = useLive()
  const { loggers, intake } = live
  const reporting = (loggers ?? []).filter(({ hasRadio, standing }) => hasRadio && standing !== 'retired')
  const groups = grouped(reporting, intake?.silentHouses ?? [])
  const shown = ofHouse === null ? groups : groups.filter(({ house }) => house?.key === ofHouse)
  const needs = countNeeds(shown)
  useEffect(() => {
    document.title = 'Live · Underjoist'
  }, [])
  return (
    <>
      <p class="back small no-print">
        <Link to="/loggers">Loggers</Link>
      </p>
      <h1 tabIndex={-1}>Live{loggers !== null && shown.length > 0 && (needs === 0 ? ': all heard' : '')}</h1>
      {intake !== null && <IntakeState intake={intake} />}
      <LiveState live={live} />
      <div class="no-print live-choice">
        <ChoiceField
          label="House"
          none="every house"
          path="/house"
          faults={noFaults}
          value={ofHouse ?? undefined}
          choices={groups.flatMap(({ house }) => (house === null ? [] : [{ value: house.key, label: house.name }]))}
          onChange={(key) => goTo(key === undefined ? '/live' : `/live?house=${encodeURIComponent(key)}`)}
        />
      </div>
      {loggers === null && live.by === 'events' && (
        <p class="awaiting quiet" role="status">
          Loading the loggers.
        </p>
      )}
      {loggers !== null && shown.length === 0 && (
        <p>
          No logger with radio {ofHouse === null ? 'is enrolled' : 'belongs to this house'}.{' '}
          <Link to={ofHouse === null ? '/loggers/new' : `/loggers/new?house=${encodeURIComponent(ofHouse)}`}>
            Enroll one
          </Link>
        </p>
      )}
      {shown.map((group) => (
        <HouseBoard key={group.house?.key ?? ''} group={group} now={live.now} />
      ))}
    </>
  )
}

function HouseBoard({ group: { house, loggers, silent }, now }: { group: Group; now: () => number }) {
  const id = `board-${house?.key ?? 'none'}`
  const rows = silent === null ? loggers : loggers.filter(({ standing }) => standing !== 'late')
  return (
    <section class="board" aria-labelledby={id}>
      <h2 id={id}>{house === null ? 'At no house yet' : <Link to={`/houses/${house.key}`}>{house.name}</Link>}</h2>
      {silent !== null && <SilentHouseLine silent={silent} now={now} />}
      {rows.length > 0 && (
        <table class="stacks">
          <thead>
            <tr>
              <th scope="col">Logger</th>
              <th scope="col">Spot</th>
              <th scope="col">Reads</th>
              <th scope="col">Heard</th>
              <th scope="col">Battery</th>
              <th scope="col">Gaps</th>
            </tr>
          </thead>
          <tbody>
            {rows.map((logger) => (
              <BoardRow key={logger.key} logger={logger} now={now} />
            ))}
          </tbody>
        </table>
      )}
    </section>
  )
}

function BoardRow({ logger, now }: { logger: Logger; now: () => number }) {
  const { units } = usePerson()
  const { probes, heardAt, standing } = logger
  const spots = probes.flatMap(({ probe, placed }) =>
    placed === null ? [] : [probes.length === 1 ? placed.spotName : `${probe}: ${placed.spotName}`],
  )
  return (
    <tr>
      <th scope="row">
        <Link to={`/loggers/${encodeURIComponent(logger.key)}`}>{fullName(logger)}</Link>
      </th>
      <td data-head="spot">
        {spots.length === 0 ? 'hangs nowhere' : spots.map((spot) => <div key={spot}>{spot}</div>)}
      </td>
      <td data-head="reads" class="board-values">
        {probes.every(({ last }) => last === null) ? (
          <span class="small quiet">nothing yet</span>
        ) : (
          probes.map(
            ({ probe, last }) =>
              last !== null && (
                <div key={probe}>
                  {probes.length > 1 && <span class="small quiet">{probe}: </span>}
                  {valuesText(last, units)}
                </div>
              ),
          )
        )}
      </td>
      <td data-head="heard">
        {heardAt !== null && <Age at={heardAt} now={now} timeZone={zoneOf(logger)} />}{' '}
        {standing !== 'heard' && <StandingChip standing={standing} />}
      </td>
      <td data-head="battery">{batteryText(logger.batteryV)}</td>
      <td data-head="gaps" class="small">
        {gapsText(logger) ?? 'none'}
      </td>
    </tr>
  )
}
