/** Where it hangs: house and spot of each probe; and whether it is heard from there, before anybody crawls out. */
import { useState } from 'preact/hooks'
import type { HouseAnswer, HouseTree } from '../../server/http/contract/house.ts'
import type { Logger, Place } from '../../server/http/contract/loggers.ts'
import type { RoundHouse } from '../../server/http/contract/round.ts'
import { useActing } from '../base/acting.ts'
import { ofHouse, send } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting, Section, TroubleBox } from '../base/parts.tsx'
import { Link } from '../base/router.tsx'
import { PlacingCoach } from '../checks/coach.tsx'
import { ChoiceField, DateField } from '../enter/fields.tsx'
import { Hangs } from './hangs.tsx'
import { HouseChoice } from './houseChoice.tsx'

interface Given {
  logger: Logger
  houses: readonly RoundHouse[]
  now: () => number
  onPlaced: (logger: Logger) => void
}

export function PlaceSection({ logger, houses, now, onPlaced }: Given) {
  const hangs = logger.probes.some(({ placed }) => placed !== null)
  const [moving, setMoving] = useState(false)
  const [houseKey, setHouseKey] = useState<string | undefined>(logger.house?.key)
  const house = useLoad<HouseAnswer>(houseKey === undefined ? null : ofHouse(houseKey))
  const acting = useActing(['/house', '/at', ...logger.probes.map((_, i) => `/probes/${i}/spot`)])
  const [spots, setSpots] = useState<Record<string, string | undefined>>({})
  const [at, setAt] = useState<string | undefined>(undefined)

  /** In the order of the logger's probes, so that a fault finds its field. */
  const chosen = logger.probes.flatMap(({ probe }) => {
    const spot = spots[probe]
    return spot === undefined ? [] : [{ probe, spot }]
  })
  async function place(): Promise<void> {
    const done = await acting.run(async () => {
      const body: Place = { house: houseKey!, probes: chosen, ...(at !== undefined && { at }) }
      onPlaced(await send<Logger>('POST', `/api/loggers/${encodeURIComponent(logger.key)}/place`, body))
      return ''
    })
    if (!done) return
    setMoving(false)
    setSpots({})
    setAt(undefined)
  }

  if (hangs && !moving) {
    return (
      <Section id="place" title="Where it hangs">
        <Hangs logger={logger} now={now} />
        <button type="button" onClick={() => setMoving(true)}>
          Move it
        </button>
      </Section>
    )
  }
  const tree = house.body?.house
  return (
    <Section id="place" title={hangs ? 'Move it' : 'Place it'}>
      <form
        class="stack-14 placing"
        onSubmit={(event) => {
          event.preventDefault()
          void place()
        }}
      >
        {houses.length === 0 && (
          <p>
            <Link to="/houses/new">Enter a house</Link> first, with a space and a spot.
          </p>
        )}
        {houses.length > 0 && (
          <HouseChoice
            houses={houses}
            none="choose a house"
            faults={acting.faults}
            value={houseKey}
            onChange={(key) => {
              setHouseKey(key)
              setSpots({})
            }}
          />
        )}
        {houseKey !== undefined && tree === undefined && (
          <Awaiting loaded={house} what="its spots" again={house.again} />
        )}
        {tree && (
          <Spots tree={tree} logger={logger} acting={acting} spots={spots} chosen={chosen} onChange={setSpots} />
        )}
        {tree && (
          <>
            <details class="advice-at-hand unfolds">
              <summary>Where the next logger goes in this house</summary>
              <PlacingCoach houseKey={tree.key} />
            </details>
            <details class="unfolds" open={at !== undefined || acting.faults.at('/at') !== undefined}>
              <summary>It hangs there since earlier</summary>
              <DateField
                label="Since"
                withTime
                hint="By the clock of the house. Empty means now."
                path="/at"
                faults={acting.faults}
                value={at}
                onChange={setAt}
              />
            </details>
          </>
        )}
        {acting.trouble && <TroubleBox trouble={acting.trouble} />}
        <div class="row">
          <button type="submit" class="first" disabled={acting.busy || chosen.length === 0}>
            {hangs ? 'Move it there' : 'It hangs there'}
          </button>
          {hangs && (
            <button type="button" onClick={() => setMoving(false)}>
              Leave it where it is
            </button>
          )}
        </div>
      </form>
    </Section>
  )
}

function Spots({
  tree,
  logger,
  acting,
  spots,
  chosen,
  onChange,
}: {
  tree: HouseTree
  logger: Logger
  acting: ReturnType<typeof useActing>
  spots: Record<string, string | undefined>
  chosen: Place['probes']
  onChange: (spots: Record<string, string | undefined>) => void
}) {
  const choices = tree.spaces.flatMap((space) =>
    space.spots.map((spot) => ({ value: `${space.key}/${spot.key}`, label: `${space.name}: ${spot.name}` })),
  )
  if (choices.length === 0) {
    return (
      <p>
        This house has no spot yet. <Link to={`/houses/${tree.key}/enter`}>Enter a space with a spot</Link> first.
      </p>
    )
  }
  return (
    <>
      {logger.probes.map(({ probe, placed }) => {
        const nth = chosen.findIndex((one) => one.probe === probe)
        const here = placed?.house === tree.key
        return (
          <ChoiceField
            key={probe}
            label={logger.probes.length === 1 ? 'Spot' : `Spot of probe ${probe}`}
            none={here ? `stays at ${placed.spotName}` : 'choose a spot'}
            path={`/probes/${nth < 0 ? logger.probes.length : nth}/spot`}
            faults={acting.faults}
            value={spots[probe]}
            choices={choices}
            onChange={(spot) => onChange({ ...spots, [probe]: spot })}
          />
        )
      })}
    </>
  )
}
