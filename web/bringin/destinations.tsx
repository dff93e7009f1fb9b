/** Where the readings of each probe in the file belong. */
import type { Destination, KeptFile } from '../../server/http/contract/files.ts'
import type { HouseTree } from '../../server/http/contract/house.ts'
import type { HousePage } from '../../server/http/contract/page.ts'
import { usePerson } from '../base/person.ts'
import { momentText } from '../base/time.ts'
import { rangeWords } from './quantityWords.ts'

type Look = KeptFile['look']
type Probes = HousePage['probes']
type ProbeFound = Extract<Look, { ok: true }>['understanding']['probes'][number]

interface Option {
  value: string
  label: string
  destination: Destination
}

export function optionsFor(tree: HouseTree, probes: Probes): Option[] {
  return [
    ...probes.map(({ probeId, letter, spotName, loggerName }) => ({
      value: `probe ${probeId}`,
      label: `${letter} ${spotName} (logger ${loggerName})`,
      destination: { probeId },
    })),
    ...tree.spaces.flatMap((space) =>
      space.spots.map((spot) => ({
        value: `new ${space.key}/${spot.key}`,
        label: `A new logger at: ${space.name}, ${spot.name}`,
        destination: { newAtSpot: `${space.key}/${spot.key}` },
      })),
    ),
    ...(tree.stations ?? []).map(({ key, name }) => ({
      value: `station ${key}`,
      label: `Weather station ${name}`,
      destination: { station: key },
    })),
    {
      value: 'new station',
      label: 'A new weather station for this house',
      destination: { newStation: 'Weather station' },
    },
  ]
}

/**
 * What is proposed: the probes of the logger that somebody said it is; else a file of rain alone is a station; the first spot without a logger, in the order of the tree, takes
 * the file's only probe. Everything else is for a person to say.
 */
export function firstDestinations(
  look: Look,
  tree: HouseTree,
  probes: Probes,
  logger: string | null = null,
): Record<string, Destination> {
  if (!look.ok) return {}
  const found = look.understanding.probes
  const own = probes.filter((probe) => probe.logger === logger)
  if (own.length > 0) return ofLogger(found, own)
  const free = tree.spaces
    .flatMap((space) => space.spots.map((spot) => `${space.key}/${spot.key}`))
    .filter((spot) => !probes.some((probe) => probe.spot === spot))
  if (found.length !== 1) return {}
  const [{ probeKey, quantities }] = found as [ProbeFound]
  if (quantities.every(({ quantity }) => quantity === 'rainMm'))
    return { [probeKey]: { newStation: 'Weather station' } }
  return free[0] === undefined ? {} : { [probeKey]: { newAtSpot: free[0] } }
}

/** By name; an only probe is an only probe whatever it is called. */
function ofLogger(found: readonly ProbeFound[], own: Probes): Record<string, Destination> {
  const lone = found.length === 1 && own.length === 1
  const pairs = found.flatMap(({ probeKey }) => {
    const probe = lone ? own[0] : own.find((one) => one.probe === probeKey)
    return probe === undefined ? [] : [[probeKey, { probeId: probe.probeId }] as const]
  })
  return Object.fromEntries(pairs)
}

const sameAs = (a: Destination | undefined, b: Destination): boolean => JSON.stringify(a) === JSON.stringify(b)

export function Destinations({
  look,
  tree,
  probes,
  chosen,
  onChange,
}: {
  look: Extract<Look, { ok: true }>
  tree: HouseTree
  probes: Probes
  chosen: Record<string, Destination>
  onChange: (chosen: Record<string, Destination>) => void
}) {
  const options = optionsFor(tree, probes)
  return (
    <div class="destinations stack">
      <h3>Where it belongs</h3>
      {look.understanding.probes.map((probe) => {
        const value = options.find(({ destination }) => sameAs(chosen[probe.probeKey], destination))?.value ?? ''
        return (
          <label key={probe.probeKey} class="destination">
            <span>
              {look.understanding.probes.length === 1 ? 'These readings' : `“${probe.probeKey}”`}:{' '}
              <Found probe={probe} timeZone={tree.timeZone} />
            </span>
            <select
              value={value}
              onChange={(event) => {
                const option = options.find((one) => one.value === event.currentTarget.value)
                const next = { ...chosen }
                if (option) next[probe.probeKey] = option.destination
                else delete next[probe.probeKey]
                onChange(next)
              }}
            >
              <option value="">choose a spot</option>
              {options.map((option) => (
                <option key={option.value} value={option.value}>
                  {option.label}
                </option>
              ))}
            </select>
          </label>
        )
      })}
    </div>
  )
}

function Found({ probe, timeZone }: { probe: ProbeFound; timeZone: string }) {
  const { units } = usePerson()
  const ranges = probe.quantities.map(({ quantity, min, max }) => rangeWords(quantity, min, max, units))
  return (
    <span class="small">
      {probe.rows.toLocaleString('en-US')} rows, {momentText(probe.firstAt, timeZone)} to{' '}
      {momentText(probe.lastAt, timeZone)}; {ranges.join('; ')}
    </span>
  )
}
