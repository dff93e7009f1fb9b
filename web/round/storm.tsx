/** Houses that one storm wetted, as one line that opens. */
import type { RoundHouse, RoundStorm } from '../../server/http/contract/round.ts'
import { Chip } from '../base/parts.tsx'
import { usePerson } from '../base/person.ts'
import { shortDateText } from '../base/time.ts'
import { plain, shownAs } from '../base/units.ts'
import { House } from './house.tsx'
import { stormLine } from './stormLine.ts'

export function Storm({ storm, houses, asOf }: { storm: RoundStorm; houses: RoundHouse[]; asOf: number }) {
  const { units } = usePerson()
  const zone = houses[0]?.timeZone ?? 'UTC'
  const how = shownAs('rainMm', units)
  const names = houses.map(({ name }) => name)
  const line = stormLine(storm, names, {
    date: (at) => shortDateText(at, zone),
    rain: (mm) => `${plain(mm, how)} ${how.unit}`,
  })
  return (
    <li class="round-storm">
      <h2 class="round-name">
        One storm, {houses.length} houses{' '}
        {houses.some(({ urgency }) => urgency === 'urgent') && <Chip kind="firm">urgent</Chip>}
      </h2>
      <p>
        <strong>Act. </strong>
        {line}
      </p>
      <details>
        <summary>The {houses.length} houses, those to go to first on top</summary>
        <ul class="round">
          {houses.map((house) => (
            <House key={house.key} house={house} asOf={asOf} head={3} />
          ))}
        </ul>
      </details>
    </li>
  )
}
