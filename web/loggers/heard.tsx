/** Large, for a lamp and a gloved thumb: when it was heard, and what it reads. */
import type { Logger } from '../../server/http/contract/loggers.ts'
import { usePerson } from '../base/person.ts'
import { dateText } from '../base/time.ts'
import { Age, StandingChip } from './parts.tsx'
import { valuesText, zoneOf } from './words.ts'

export function Heard({ logger, now }: { logger: Logger; now: () => number }) {
  const { units } = usePerson()
  const { heardAt, hasRadio, standing, probes, connected, retiredAt } = logger
  const zone = zoneOf(logger)
  return (
    <section class="heard" aria-label="What is heard of it">
      <p class="heard-when">
        {!hasRadio ? (
          'Read out at pick-up'
        ) : heardAt === null ? (
          'Never heard yet'
        ) : (
          <>
            Heard <Age at={heardAt} now={now} timeZone={zone} />
          </>
        )}{' '}
        {standing === 'late' && <StandingChip standing="late" />}
        {retiredAt !== null && <span class="small quiet">retired {dateText(retiredAt, zone)}</span>}
      </p>
      <ul>
        {probes.map(({ probe, placed, last }) => (
          <li key={probe}>
            {last !== null && <p class="heard-values">{valuesText(last, units, { dewPoint: true })}</p>}
            <p class="small quiet">
              {probes.length > 1 && <>{probe}, </>}
              {placed === null ? 'hangs nowhere' : `${placed.spotName}, ${placed.houseName}`}
              {last === null
                ? '; no reading yet'
                : heardAt === null || heardAt - last.at > 5 * 60_000
                  ? ['; reading of ', <Age key="age" at={last.at} now={now} timeZone={zone} />]
                  : ''}
            </p>
          </li>
        ))}
      </ul>
      {hasRadio && heardAt === null && standing === 'waiting' && (
        <p>
          {connected === true
            ? 'It is connected, and has not sent a reading yet.'
            : 'Switch it on. It shows here by itself as soon as it is heard.'}
        </p>
      )}
    </section>
  )
}
