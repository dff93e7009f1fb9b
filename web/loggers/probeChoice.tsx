/** Which probes a logger carries: the usual ones, and others by the names it sends. */

import type { Faults } from '../base/faults.ts'
import { TextField } from '../enter/fields.tsx'

const PROBES = [
  ['air', 'air: temperature and humidity'],
  ['joist', 'joist: wood moisture'],
  ['surface', 'surface: temperature of a cold surface'],
  ['floor', 'floor: water contact'],
] as const

export function ProbeChoice({
  probes,
  more,
  faults,
  onProbes,
  onMore,
}: {
  /** Of the usual ones. */
  probes: readonly string[]
  /** As it is typed. */
  more: string
  faults: Faults
  onProbes: (probes: string[]) => void
  onMore: (more: string) => void
}) {
  return (
    <fieldset>
      <legend>Its probes</legend>
      {PROBES.map(([key, label]) => (
        <label key={key} class="pick">
          <input
            type="checkbox"
            checked={probes.includes(key)}
            onChange={(event) =>
              onProbes(event.currentTarget.checked ? [...probes, key] : probes.filter((one) => one !== key))
            }
          />
          <span>{label}</span>
        </label>
      ))}
      <TextField
        label="Others"
        hint="By the names it sends, such as joist-2; a comma between."
        path="/probes"
        faults={faults}
        value={more}
        onChange={(text) => onMore(text ?? '')}
      />
    </fieldset>
  )
}
