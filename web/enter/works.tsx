/** What was done to the house, and when. */

import type { HouseTree } from '../../server/http/contract/house.ts'
import { litersFromPints, pintsFromLiters, WORK_KINDS, type WorkKind } from '../../server/http/contract/words.ts'
import { usePerson } from '../base/person.ts'
import { type Editing, keyFrom } from './editing.ts'
import { ChoiceField, DateField, NumberField, TextField } from './fields.tsx'
import { Element, Part } from './part.tsx'

type Work = NonNullable<HouseTree['works']>[number]
const same = (value: number) => value
const MACHINES: readonly WorkKind[] = ['dehumidifier', 'encapsulation']
const COVERS: readonly WorkKind[] = ['ground cover', 'encapsulation']
const BASES = [
  { value: '26.7 °C / 60 %', label: '80 °F / 60 % (older label)' },
  { value: '18.3 °C / 60 %', label: '65 °F / 60 % (portable)' },
  { value: '22.8 °C / 60 %', label: '73 °F / 60 % (whole-home)' },
] as const

export function Works({ editing: { house, change, faults } }: { editing: Editing }) {
  const { units } = usePerson()
  const works = house.works ?? []
  const set = (i: number, some: Partial<Work>) =>
    change((next) => ({ ...next, works: (next.works ?? []).map((work, k) => (k === i ? { ...work, ...some } : work)) }))
  const setDetails = (i: number, some: Partial<NonNullable<Work['details']>>) =>
    set(i, { details: { ...works[i]!.details, ...some } })
  const pints = units === 'us'
  return (
    <Part
      id="works-entered"
      title="Works"
      note="Each is judged with the weather taken out. Works less than seven days apart are answered for together."
    >
      {works.map((work, i) => (
        <Element
          key={work.key}
          title={`${work.kind}, ${work.from || 'no date yet'}`}
          open={work.from === '' || faults.below(`/works/${i}`)}
          onRemove={() => change((next) => ({ ...next, works: (next.works ?? []).filter((_, k) => k !== i) }))}
        >
          <ChoiceField
            label="What was done"
            none={null}
            path={`/works/${i}/kind`}
            faults={faults}
            value={work.kind}
            choices={WORK_KINDS}
            onChange={(kind) => set(i, { kind: kind ?? 'other' })}
          />
          <DateField
            label="Day it was done"
            path={`/works/${i}/from`}
            faults={faults}
            value={work.from}
            onChange={(from) => set(i, { from: from ?? '' })}
          />
          <DateField
            label="Undone again on"
            hint="Only for a trial, or where it was taken out."
            path={`/works/${i}/to`}
            faults={faults}
            value={work.to}
            onChange={(to) => set(i, { to })}
          />
          {MACHINES.includes(work.kind) && (
            <>
              <NumberField
                label={`Rated capacity, ${pints ? 'pints' : 'liters'} a day`}
                path={`/works/${i}/details/ratedLPerDay`}
                faults={faults}
                value={work.details?.ratedLPerDay}
                to={pints ? pintsFromLiters : same}
                from={pints ? litersFromPints : same}
                digits={0}
                onChange={(ratedLPerDay) => setDetails(i, { ratedLPerDay })}
              />
              <ChoiceField
                label="The label’s test"
                path={`/works/${i}/details/ratingBasis`}
                faults={faults}
                value={work.details?.ratingBasis}
                choices={BASES}
                onChange={(ratingBasis) => setDetails(i, { ratingBasis })}
              />
              <NumberField
                label="Set point, % RH"
                path={`/works/${i}/details/setPointRhPct`}
                faults={faults}
                value={work.details?.setPointRhPct}
                to={same}
                from={same}
                digits={0}
                onChange={(setPointRhPct) => setDetails(i, { setPointRhPct })}
              />
            </>
          )}
          {COVERS.includes(work.kind) && (
            <NumberField
              label="Ground covered afterwards, %"
              path={`/works/${i}/details/coverSharePct`}
              faults={faults}
              value={work.details?.coverSharePct}
              to={same}
              from={same}
              digits={0}
              onChange={(coverSharePct) => setDetails(i, { coverSharePct })}
            />
          )}
          <TextField
            label="Note"
            long
            path={`/works/${i}/note`}
            faults={faults}
            value={work.note}
            onChange={(note) => set(i, { note })}
          />
        </Element>
      ))}
      <button
        type="button"
        onClick={() =>
          change((next) => {
            const key = keyFrom(
              `work ${(next.works ?? []).length + 1}`,
              (next.works ?? []).map((work) => work.key),
            )
            return { ...next, works: [...(next.works ?? []), { key, kind: 'downspout drain', from: '' }] }
          })
        }
      >
        Add a work
      </button>
    </Part>
  )
}
