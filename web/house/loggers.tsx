/** Loggers and their health. No news never means dry. */
import type { HousePage } from '../../server/http/contract/page.ts'
import { Scrolls, Section } from '../base/parts.tsx'
import { Link } from '../base/router.tsx'
import { ageText, momentText } from '../base/time.ts'
import { Visit } from '../loggers/visit.tsx'

export function LoggersSection({ page }: { page: HousePage }) {
  const { probes, stations, house, asOf } = page
  const heard = (at: number) => (house.invented ? momentText(at, house.timeZone) : ageText(asOf - at))
  return (
    <Section id="loggers" title="Loggers" note="No news never means dry.">
      {probes.length === 0 ? (
        <p>
          No logger has been placed. <Link to={`/houses/${house.key}/bring-in`}>Bring in a logger’s file</Link>, or{' '}
          <Link to={`/loggers/new?house=${encodeURIComponent(house.key)}`}>enroll one that reports by itself</Link>.
        </p>
      ) : (
        <Scrolls label="Loggers and their health">
          <table class="stacks">
            <thead>
              <tr>
                <th scope="col">Spot</th>
                <th scope="col">Logger</th>
                <th scope="col">Last heard</th>
                <th scope="col" class="number">
                  Readings
                </th>
                <th scope="col">Battery</th>
                <th scope="col">Health</th>
              </tr>
            </thead>
            <tbody>
              {probes.map((probe) => (
                <tr key={`${probe.logger}/${probe.probe}`}>
                  <th scope="row">
                    {probe.letter}, {probe.spotName}
                  </th>
                  <td data-head="logger">
                    <Link to={`/loggers/${encodeURIComponent(probe.logger)}`}>{probe.loggerName}</Link>, {probe.probe}
                    {probe.placedTo !== null && <span class="quiet"> until {probe.placedTo}</span>}
                  </td>
                  <td data-head="last heard">{probe.lastAt === null ? 'never' : heard(probe.lastAt)}</td>
                  <td class="number" data-head="readings">
                    {probe.readings.toLocaleString('en-US')}
                  </td>
                  <td data-head="battery">{probe.batteryV === null ? 'not told' : `${probe.batteryV.toFixed(2)} V`}</td>
                  <td class="small" data-head="health">
                    {probe.faults.length === 0 ? 'no fault found' : probe.faults.join(' ')}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </Scrolls>
      )}
      {stations.map(({ key, name, lastAt, stale, quantities }) => (
        <p key={key} class={stale ? '' : 'small quiet'}>
          <Link to="/stations">{name}</Link>: {lastAt === null ? 'never heard' : `last heard ${heard(lastAt)}`}.
          {stale && (
            <strong>
              {' '}
              It is stale: what stands here of the outdoor air {quantities.includes('rainMm') && 'and the rain '}may be
              old.
            </strong>
          )}
        </p>
      ))}
      <div class="row no-print loggers-tools">
        <Link to={`/live?house=${encodeURIComponent(house.key)}`} class="button">
          Live
        </Link>
        <Link to={`/loggers/new?house=${encodeURIComponent(house.key)}`} class="button">
          Enroll a logger
        </Link>
        <Link to="/loggers" class="button">
          Loggers to place
        </Link>
      </div>
      <div class="no-print">
        <p class="small quiet loggers-tools">
          Going in? Look for water near live power, smell for gas, mind carbon monoxide, animals and cracked framing
          first: loggers see none of it. The readings of a visit are left out of every judgment.
        </p>
        <Visit houseKey={house.key} timeZone={house.timeZone} />
      </div>
    </Section>
  )
}
