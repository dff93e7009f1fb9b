/** Loggers, their probes, and where each hung from when to when. */
import type { HouseTree } from '../../server/http/contract/house.ts'
import { type Editing, keyFrom } from './editing.ts'
import { ChoiceField, DateField, NumberField, TextField } from './fields.tsx'
import { Element, Part } from './part.tsx'

type Logger = NonNullable<HouseTree['loggers']>[number]
type Placement = Logger['probes'][number]['placements'][number]
const same = (value: number) => value

export function Loggers({ editing: { house, change, faults } }: { editing: Editing }) {
  const loggers = house.loggers ?? []
  const spots = house.spaces.flatMap((space) =>
    space.spots.map((spot) => ({ value: `${space.key}/${spot.key}`, label: `${space.name}: ${spot.name}` })),
  )
  const setProbe = (i: number, j: number, some: Partial<Logger['probes'][number]>) =>
    change((next) => {
      const probe = next.loggers![i]!.probes[j]!
      next.loggers![i]!.probes[j] = { ...probe, ...some }
      return next
    })
  const setPlacement = (i: number, j: number, k: number, some: Partial<Placement>) =>
    setProbe(i, j, {
      placements: loggers[i]!.probes[j]!.placements.map((placement, n) =>
        n === k ? { ...placement, ...some } : placement,
      ),
    })
  return (
    <Part
      id="loggers"
      title="Loggers"
      note="A probe is at one spot at a time. To move it, end its placement and add the next."
    >
      {loggers.map((logger, i) => (
        <Element
          key={logger.key}
          title={logger.name ?? logger.key}
          open={logger.probes.every(({ placements }) => placements.length === 0) || faults.below(`/loggers/${i}`)}
          onRemove={() => change((next) => ({ ...next, loggers: (next.loggers ?? []).filter((_, k) => k !== i) }))}
        >
          <TextField
            label="Name of the logger"
            hint={`Number: ${logger.key}`}
            path={`/loggers/${i}/name`}
            faults={faults}
            value={logger.name}
            onChange={(name) =>
              change((next) => ({
                ...next,
                loggers: next.loggers!.map((one, k) => (k === i ? { ...one, name } : one)),
              }))
            }
          />
          {logger.probes.map((probe, j) => (
            <div key={probe.key} class="whole">
              <h3>Probe {probe.key}</h3>
              <div class="fields">
                <NumberField
                  label="Accuracy of RH, ± %"
                  path={`/loggers/${i}/probes/${j}/accuracyRhPct`}
                  faults={faults}
                  value={probe.accuracyRhPct}
                  to={same}
                  from={same}
                  digits={1}
                  onChange={(accuracyRhPct) => setProbe(i, j, { accuracyRhPct })}
                />
              </div>
              {probe.placements.map((placement, k) => {
                const path = `/loggers/${i}/probes/${j}/placements/${k}`
                return (
                  <Element
                    key={`${placement.spot} ${placement.from}`}
                    title={`placement ${k + 1}`}
                    open
                    onRemove={() => setProbe(i, j, { placements: probe.placements.filter((_, n) => n !== k) })}
                  >
                    <ChoiceField
                      label="At"
                      none={null}
                      path={`${path}/spot`}
                      faults={faults}
                      value={placement.spot}
                      choices={spots}
                      onChange={(spot) => setPlacement(i, j, k, { spot: spot ?? '' })}
                    />
                    <DateField
                      label="From"
                      withTime
                      path={`${path}/from`}
                      faults={faults}
                      value={placement.from}
                      onChange={(from) => setPlacement(i, j, k, { from: from ?? '' })}
                    />
                    <DateField
                      label="To"
                      withTime
                      hint="Empty while it hangs there."
                      path={`${path}/to`}
                      faults={faults}
                      value={placement.to}
                      onChange={(to) => setPlacement(i, j, k, { to })}
                    />
                    {faults.at(path) !== undefined && <p class="fault small">{faults.at(path)}</p>}
                  </Element>
                )
              })}
              <button
                type="button"
                disabled={spots.length === 0}
                onClick={() =>
                  setProbe(i, j, { placements: [...probe.placements, { spot: spots[0]!.value, from: '' }] })
                }
              >
                Add a placement
              </button>
            </div>
          ))}
        </Element>
      ))}
      <button
        type="button"
        disabled={spots.length === 0}
        onClick={() =>
          change((next) => {
            const taken = (next.loggers ?? []).map((logger) => logger.key)
            const key = keyFrom(`${next.key}-logger-${taken.length + 1}`, taken)
            return { ...next, loggers: [...(next.loggers ?? []), { key, probes: [{ key: 'air', placements: [] }] }] }
          })
        }
      >
        Add a logger
      </button>
      {spots.length === 0 && <p class="small">Enter a space with a spot first.</p>}
    </Part>
  )
}
