/** The facts that can stop a remedy. Not looked at blocks like a yes. */
import type { Editing } from './editing.ts'
import { ChoiceField, NumberField, TextField } from './fields.tsx'
import { Part } from './part.tsx'

const QUESTIONS = [
  [
    'floodZone',
    'Does the house stand in a flood hazard zone?',
    'Look at the floodplain map. Flood openings are required there and are never sealed.',
  ],
  [
    'combustionAppliances',
    'Does a fuel-burning appliance stand in the space, or draw its air from it?',
    'Furnace, water heater, fireplace. Closing or a fan waits for a licensed trade to make its air and draft safe.',
  ],
  ['radonTest', 'Was radon tested?', 'Test before, and again 90 days after closing.'],
  [
    'utilityLocates',
    'Are utility marks valid for digging, and private lines asked for?',
    'Call before you dig; marks expire.',
  ],
  [
    'structuralSigns',
    'Is framing, pier or wall soft, cracked, sagging or shifted?',
    'If so, stop: a licensed engineer looks first.',
  ],
  [
    'entryHazard',
    'Does anything forbid going in?',
    'Water near live power, gas smell, carbon monoxide, sewage, animals. A crawl space may be a confined space.',
  ],
] as const
const ANSWERS = ['no', 'yes', 'not looked at'] as const

export function Safety({ editing: { house, change, faults } }: { editing: Editing }) {
  const safety = house.safety ?? {}
  const set = (facts: Partial<typeof safety>) => change((next) => ({ ...next, safety: { ...next.safety, ...facts } }))
  return (
    <Part
      id="safety"
      title="Safety facts"
      note="These decide what may be quoted. A question nobody has looked at holds a remedy back just as a yes does."
    >
      <div class="fields safety">
        {QUESTIONS.map(([name, label, hint]) => (
          <ChoiceField
            key={name}
            label={label}
            hint={hint}
            path={`/safety/${name}`}
            faults={faults}
            value={safety[name] ?? 'not looked at'}
            choices={ANSWERS}
            none={null}
            onChange={(answer) => set({ [name]: answer })}
          />
        ))}
        <NumberField
          label="Radon result, pCi/L"
          hint="A test without its result frees nothing."
          path="/safety/radonPciL"
          faults={faults}
          value={safety.radonPciL}
          to={(value) => value}
          from={(value) => value}
          digits={1}
          onChange={(radonPciL) => set({ radonPciL })}
        />
        <TextField
          label="Note"
          long
          path="/safety/note"
          faults={faults}
          value={safety.note}
          onChange={(note) => set({ note })}
        />
      </div>
    </Part>
  )
}
