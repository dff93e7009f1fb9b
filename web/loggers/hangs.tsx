/** Where a logger hangs, and whether it was heard from there; and how such a change is taken back. */
import type { Logger } from '../../server/http/contract/loggers.ts'
import { Link } from '../base/router.tsx'
import { momentText } from '../base/time.ts'
import { zoneOf } from './words.ts'

export function Hangs({ logger, now }: { logger: Logger; now: () => number }) {
  const placed = logger.probes.flatMap(({ probe, placed: place }) => (place === null ? [] : [{ probe, ...place }]))
  const since = Math.max(...placed.map((one) => one.since))
  const zone = zoneOf(logger)
  const heard = logger.heardAt !== null && logger.heardAt >= since
  // Later than this, whoever hung it has long gone.
  const fresh = now() - since < 24 * 3_600_000
  return (
    <div class="stack">
      <ul class="hangs">
        {placed.map(({ probe, spotName, houseName, since: from }) => (
          <li key={probe}>
            <strong>{spotName}</strong>, {houseName}
            {logger.probes.length > 1 && `: probe ${probe}`}{' '}
            <span class="small quiet">since {momentText(from, zone)}</span>
          </li>
        ))}
      </ul>
      {logger.hasRadio && fresh && (
        <p class={heard ? 'confirmed' : 'alarm'}>
          {heard
            ? 'It was heard since it hangs there.'
            : 'It was not heard since it hangs there. Stay until it is, or move it to where it is heard.'}
        </p>
      )}
    </div>
  )
}

export const UndoHint = ({ house }: { house: Logger['house'] }) =>
  house === null ? null : (
    <>
      It can be undone under{' '}
      <Link class="tap" to={`/houses/${house.key}/history`}>
        History of {house.name}
      </Link>
      .
    </>
  )
