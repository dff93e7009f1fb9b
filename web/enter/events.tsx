/** Things that happened: they explain or exclude days. */
import type { HouseTree } from '../../server/http/contract/house.ts'
import type { Editing } from './editing.ts'
import { ChoiceField, DateField, TextField } from './fields.tsx'
import { Element, Part } from './part.tsx'

const KINDS = [
  'visit',
  'air conditioning season',
  'vent opened',
  'power cut',
  'flood',
  'logger touched',
  'other',
] as const
type Event = NonNullable<HouseTree['events']>[number]

export function Events({ editing: { house, change, faults } }: { editing: Editing }) {
  const events = house.events ?? []
  const set = (i: number, some: Partial<Event>) =>
    change((next) => ({
      ...next,
      events: (next.events ?? []).map((event, k) => (k === i ? { ...event, ...some } : event)),
    }))
  return (
    <Part
      id="events"
      title="Events"
      note="A visit warms and moistens the air: with its time of day, its hours are left out of every analysis."
    >
      {events.map((event, i) => (
        <Element
          key={i}
          title={`${event.kind}, ${event.from || 'no date yet'}`}
          open={event.from === '' || faults.below(`/events/${i}`)}
          onRemove={() => change((next) => ({ ...next, events: (next.events ?? []).filter((_, k) => k !== i) }))}
        >
          <ChoiceField
            label="What happened"
            none={null}
            path={`/events/${i}/kind`}
            faults={faults}
            value={event.kind}
            choices={KINDS}
            onChange={(kind) => set(i, { kind: kind ?? 'other' })}
          />
          <DateField
            label="From"
            withTime
            path={`/events/${i}/from`}
            faults={faults}
            value={event.from}
            onChange={(from) => set(i, { from: from ?? '' })}
          />
          <DateField
            label="To"
            withTime
            path={`/events/${i}/to`}
            faults={faults}
            value={event.to}
            onChange={(to) => set(i, { to })}
          />
          <TextField
            label="Note"
            path={`/events/${i}/note`}
            faults={faults}
            value={event.note}
            onChange={(note) => set(i, { note })}
          />
        </Element>
      ))}
      <button
        type="button"
        onClick={() => change((next) => ({ ...next, events: [...(next.events ?? []), { kind: 'visit', from: '' }] }))}
      >
        Add an event
      </button>
    </Part>
  )
}
