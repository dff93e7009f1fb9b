/** Spaces with their own air, and the spots in them where something is measured. */

import type { HouseTree } from '../../server/http/contract/house.ts'
import { m2FromSquareFeet, metersFromFeet } from '../../server/http/contract/words.ts'
import { usePerson } from '../base/person.ts'
import { shownAs } from '../base/units.ts'
import { type Editing, keyFrom } from './editing.ts'
import { ChoiceField, NumberField, TextField } from './fields.tsx'
import { Element, Part } from './part.tsx'
import { SpotPlan } from './spotPlan.tsx'

const ROLES = ['crawl space', 'basement', 'attic', 'wall', 'outdoor', 'living'] as const
const same = (value: number) => value

export function Spaces({ editing }: { editing: Editing }) {
  const { house, change, faults } = editing
  const { units } = usePerson()
  const [area, height] = [shownAs('areaM2', units), shownAs('heightM', units)]
  const meters = units === 'us' ? metersFromFeet : same
  const setSpace = (i: number, some: Partial<HouseTree['spaces'][number]>) =>
    change((next) => ({ ...next, spaces: next.spaces.map((space, k) => (k === i ? { ...space, ...some } : space)) }))
  const setSpot = (i: number, j: number, some: Partial<HouseTree['spaces'][number]['spots'][number]>) =>
    change((next) => {
      const spot = next.spaces[i]!.spots[j]!
      next.spaces[i]!.spots[j] = { ...spot, ...some }
      return next
    })
  return (
    <Part
      id="spaces"
      title="Spaces and spots"
      note="The space under the house, outdoors, and the rooms above, if something is measured there."
    >
      {house.spaces.map((space, i) => {
        const judged = space.role !== 'outdoor' && space.role !== 'living'
        return (
          <Element
            key={space.key}
            title={space.name || `space ${i + 1}`}
            open={judged || faults.below(`/spaces/${i}`)}
            onRemove={() => change((next) => ({ ...next, spaces: next.spaces.filter((_, k) => k !== i) }))}
          >
            <TextField
              label="Name of the space"
              required
              path={`/spaces/${i}/name`}
              faults={faults}
              value={space.name}
              onChange={(name) => setSpace(i, { name: name ?? '' })}
            />
            <ChoiceField
              label="What it is"
              none={null}
              path={`/spaces/${i}/role`}
              faults={faults}
              value={space.role}
              choices={ROLES}
              onChange={(role) => setSpace(i, { role: role ?? 'crawl space' })}
            />
            {judged && (
              <>
                <ChoiceField
                  label="Kind, when the readings began"
                  path={`/spaces/${i}/kind`}
                  faults={faults}
                  value={space.kind}
                  choices={['vented', 'closed', 'conditioned']}
                  onChange={(kind) => setSpace(i, { kind })}
                />
                <NumberField
                  label={`Floor area, ${area.unit}`}
                  path={`/spaces/${i}/floorAreaM2`}
                  faults={faults}
                  value={space.floorAreaM2}
                  to={area.of}
                  from={units === 'us' ? m2FromSquareFeet : same}
                  digits={0}
                  onChange={(floorAreaM2) => setSpace(i, { floorAreaM2 })}
                />
                <NumberField
                  label={`Height, ${height.unit}`}
                  path={`/spaces/${i}/heightM`}
                  faults={faults}
                  value={space.heightM}
                  to={height.of}
                  from={meters}
                  digits={2}
                  onChange={(heightM) => setSpace(i, { heightM })}
                />
                <NumberField
                  label={`Perimeter, ${height.unit}`}
                  path={`/spaces/${i}/perimeterM`}
                  faults={faults}
                  value={space.perimeterM}
                  to={height.of}
                  from={meters}
                  digits={1}
                  onChange={(perimeterM) => setSpace(i, { perimeterM })}
                />
                <NumberField
                  label="Vents"
                  path={`/spaces/${i}/ventCount`}
                  faults={faults}
                  value={space.ventCount}
                  to={same}
                  from={Math.round}
                  digits={0}
                  onChange={(ventCount) => setSpace(i, { ventCount })}
                />
                <ChoiceField
                  label="Vents, when the readings began"
                  path={`/spaces/${i}/ventState`}
                  faults={faults}
                  value={space.ventState}
                  choices={['open', 'partly', 'closed']}
                  onChange={(ventState) => setSpace(i, { ventState })}
                />
                <NumberField
                  label="Ground under a cover, when the readings began, %"
                  path={`/spaces/${i}/groundCoverSharePct`}
                  faults={faults}
                  value={space.groundCoverSharePct}
                  to={same}
                  from={same}
                  digits={0}
                  onChange={(groundCoverSharePct) => setSpace(i, { groundCoverSharePct })}
                />
              </>
            )}
            <div class="whole">
              <h3>Spots</h3>
              {judged && <SpotPlan space={space} onPlace={(j, place) => setSpot(i, j, place)} />}
              {space.spots.map((spot, j) => (
                <Element
                  key={spot.key}
                  title={spot.name || `spot ${j + 1}`}
                  open={/^Spot \d+$/.test(spot.name) || faults.below(`/spaces/${i}/spots/${j}`)}
                  onRemove={() => setSpace(i, { spots: space.spots.filter((_, k) => k !== j) })}
                >
                  <TextField
                    label="Name of the spot"
                    hint="So that the next person finds it: north-west corner, at the joist."
                    required
                    path={`/spaces/${i}/spots/${j}/name`}
                    faults={faults}
                    value={spot.name}
                    onChange={(name) => setSpot(i, j, { name: name ?? '' })}
                  />
                  <NumberField
                    label={`Height over the ground, ${height.unit}`}
                    path={`/spaces/${i}/spots/${j}/heightM`}
                    faults={faults}
                    value={spot.heightM}
                    to={height.of}
                    from={meters}
                    digits={2}
                    onChange={(heightM) => setSpot(i, j, { heightM })}
                  />
                  {judged && (
                    <>
                      <TextField
                        label="Cold surface to watch here"
                        hint="Supply duct, cold pipe, rim joist. Leave empty if there is none."
                        path={`/spaces/${i}/spots/${j}/coldSurface/name`}
                        faults={faults}
                        value={spot.coldSurface?.name}
                        onChange={(name) =>
                          setSpot(i, j, { coldSurface: name === undefined ? undefined : { ...spot.coldSurface, name } })
                        }
                      />
                      {spot.coldSurface && (
                        <NumberField
                          label={`Its temperature, ${shownAs('tempC', units).unit}`}
                          path={`/spaces/${i}/spots/${j}/coldSurface/tempC`}
                          faults={faults}
                          value={spot.coldSurface.tempC}
                          to={shownAs('tempC', units).of}
                          from={units === 'us' ? (tempF) => (tempF - 32) / 1.8 : same}
                          digits={1}
                          onChange={(tempC) => setSpot(i, j, { coldSurface: { ...spot.coldSurface!, tempC } })}
                        />
                      )}
                    </>
                  )}
                </Element>
              ))}
              <button
                type="button"
                onClick={() => {
                  const name = `Spot ${space.spots.length + 1}`
                  setSpace(i, {
                    spots: [
                      ...space.spots,
                      {
                        key: keyFrom(
                          name,
                          space.spots.map(({ key }) => key),
                        ),
                        name,
                      },
                    ],
                  })
                }}
              >
                Add a spot
              </button>
            </div>
          </Element>
        )
      })}
      <button
        type="button"
        onClick={() =>
          change((next) => {
            const name = 'Crawl space'
            const key = keyFrom(
              name,
              next.spaces.map((space) => space.key),
            )
            return { ...next, spaces: [...next.spaces, { key, name, role: 'crawl space', spots: [] }] }
          })
        }
      >
        Add a space
      </button>
    </Part>
  )
}
