/** What a walk around the house tells. */
import { m2FromSquareFeet } from '../../server/http/contract/words.ts'
import { usePerson } from '../base/person.ts'
import { shownAs } from '../base/units.ts'
import type { Editing } from './editing.ts'
import { ChoiceField, NumberField, TextField } from './fields.tsx'
import { Part } from './part.tsx'

const same = (value: number) => value

export function Facts({ editing: { house, change, faults } }: { editing: Editing }) {
  const { units } = usePerson()
  const area = shownAs('areaM2', units)
  const facts = house.facts ?? {}
  const set = (some: Partial<typeof facts>) => change((next) => ({ ...next, facts: { ...next.facts, ...some } }))
  return (
    <Part id="facts" title="The house">
      <div class="fields">
        <TextField
          label="Name or address"
          required
          path="/name"
          faults={faults}
          value={house.name}
          onChange={(name) => change((next) => ({ ...next, name: name ?? '' }))}
        />
        <TextField
          label="Town"
          path="/place"
          faults={faults}
          value={house.place}
          onChange={(place) => change((next) => ({ ...next, place }))}
        />
        <TextField
          label="Time zone"
          hint="Such as America/New_York. Local times in files and of works are read in it."
          required
          path="/timeZone"
          faults={faults}
          value={house.timeZone}
          onChange={(timeZone) => change((next) => ({ ...next, timeZone: timeZone ?? '' }))}
        />
        <ChoiceField
          label="Downspouts, when the readings began"
          path="/facts/downspouts"
          faults={faults}
          value={facts.downspouts}
          choices={['end at the wall', 'some led away', 'led away']}
          onChange={(downspouts) => set({ downspouts })}
        />
        <ChoiceField
          label="Grade at the wall"
          path="/facts/gradeAtWall"
          faults={faults}
          value={facts.gradeAtWall}
          choices={['falls away', 'level', 'falls toward']}
          onChange={(gradeAtWall) => set({ gradeAtWall })}
        />
        <NumberField
          label={`Roof area, ${area.unit}`}
          path="/facts/roofAreaM2"
          faults={faults}
          value={facts.roofAreaM2}
          to={area.of}
          from={units === 'us' ? m2FromSquareFeet : same}
          digits={0}
          onChange={(roofAreaM2) => set({ roofAreaM2 })}
        />
        <TextField
          label="Foundation wall"
          hint="Such as hollow concrete block, poured concrete, piers."
          path="/facts/foundationWall"
          faults={faults}
          value={facts.foundationWall}
          onChange={(foundationWall) => set({ foundationWall })}
        />
        <ChoiceField
          label="Is the floor above insulated?"
          path="/facts/floorInsulated"
          faults={faults}
          value={facts.floorInsulated === undefined ? undefined : facts.floorInsulated ? 'yes' : 'no'}
          choices={['yes', 'no']}
          onChange={(answer) => set({ floorInsulated: answer === undefined ? undefined : answer === 'yes' })}
        />
        <NumberField
          label="RH to hold, %"
          hint="What a dehumidifier would be sized for."
          path="/facts/targetRhPct"
          faults={faults}
          value={facts.targetRhPct}
          to={same}
          from={same}
          digits={0}
          onChange={(targetRhPct) => set({ targetRhPct })}
        />
        <TextField
          label="Note"
          long
          path="/facts/note"
          faults={faults}
          value={facts.note}
          onChange={(note) => set({ note })}
        />
      </div>
    </Part>
  )
}
