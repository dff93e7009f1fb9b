/** Corrections of sensors: dated, with their reason. Readings themselves stay as received. */
import type { HouseTree } from '../../server/http/contract/house.ts'
import type { Editing } from './editing.ts'
import { ChoiceField, DateField, NumberField, TextField } from './fields.tsx'
import { Element, Part } from './part.tsx'

type Correction = NonNullable<HouseTree['corrections']>[number]
const QUANTITIES = [
  { value: 'rhPct', label: 'RH, points' },
  { value: 'tempC', label: 'temperature, °C' },
  { value: 'woodMcPct', label: 'wood moisture, points' },
  { value: 'surfaceTempC', label: 'surface temperature, °C' },
  { value: 'clock', label: 'clock, seconds' },
] as const
const same = (value: number) => value

export function Corrections({ editing: { house, change, faults } }: { editing: Editing }) {
  const corrections = house.corrections ?? []
  const probes = (house.loggers ?? []).flatMap((logger) =>
    logger.probes.map((probe) => ({
      value: `${logger.key}/${probe.key}`,
      label: `${logger.name ?? logger.key}, ${probe.key}`,
    })),
  )
  const set = (i: number, some: Partial<Correction>) =>
    change((next) => ({
      ...next,
      corrections: (next.corrections ?? []).map((one, k) => (k === i ? { ...one, ...some } : one)),
    }))
  return (
    <Part
      id="corrections"
      title="Corrections"
      note="From a side-by-side check or a salt check. What is added to the reading, from when to when."
    >
      {corrections.map((correction, i) => (
        <Element
          key={i}
          title={`correction ${i + 1}`}
          open={correction.from === '' || faults.below(`/corrections/${i}`)}
          onRemove={() =>
            change((next) => ({ ...next, corrections: (next.corrections ?? []).filter((_, k) => k !== i) }))
          }
        >
          <ChoiceField
            label="Probe"
            none={null}
            path={`/corrections/${i}/probe`}
            faults={faults}
            value={correction.probe}
            choices={probes}
            onChange={(probe) => set(i, { probe: probe ?? '' })}
          />
          <ChoiceField
            label="Quantity"
            none={null}
            path={`/corrections/${i}/quantity`}
            faults={faults}
            value={correction.quantity}
            choices={QUANTITIES}
            onChange={(quantity) => set(i, { quantity: quantity ?? 'rhPct' })}
          />
          <NumberField
            label="Add to the reading"
            path={`/corrections/${i}/offset`}
            faults={faults}
            value={correction.offset}
            to={same}
            from={same}
            digits={2}
            onChange={(offset) => set(i, { offset: offset ?? 0 })}
          />
          <DateField
            label="From"
            withTime
            path={`/corrections/${i}/from`}
            faults={faults}
            value={correction.from}
            onChange={(from) => set(i, { from: from ?? '' })}
          />
          <DateField
            label="To"
            withTime
            path={`/corrections/${i}/to`}
            faults={faults}
            value={correction.to}
            onChange={(to) => set(i, { to })}
          />
          <TextField
            label="Why"
            required
            path={`/corrections/${i}/why`}
            faults={faults}
            value={correction.why}
            onChange={(why) => set(i, { why: why ?? '' })}
          />
        </Element>
      ))}
      <button
        type="button"
        disabled={probes.length === 0}
        onClick={() =>
          change((next) => ({
            ...next,
            corrections: [
              ...(next.corrections ?? []),
              { probe: probes[0]!.value, quantity: 'rhPct', offset: 0, from: '', why: '' },
            ],
          }))
        }
      >
        Add a correction
      </button>
    </Part>
  )
}
