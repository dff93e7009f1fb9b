/** The drawing in words: spots and water paths as tables, for screen readers, phones and print. */
import type { Level } from '../../server/http/contract/words.ts'
import { LevelMark } from '../base/levelMark.tsx'
import { estimateText, type Shown } from '../base/units.ts'
import type { WaterArrow } from './arrows.ts'

export interface TwinSpot {
  letter: string
  name: string
  level: Level | null
  lines: string[]
}

export function Twin({
  spots,
  arrows,
  shown,
  basis,
}: {
  spots: readonly TwinSpot[]
  arrows: readonly WaterArrow[]
  shown: Shown
  basis: string
}) {
  return (
    <div class="twin">
      <table class="small">
        <caption>Spots</caption>
        <thead class="unseen">
          <tr>
            <th scope="col">Spot</th>
            <th scope="col">Level</th>
            <th scope="col">Values</th>
          </tr>
        </thead>
        <tbody>
          {spots.map(({ letter, name, level, lines }) => (
            <tr key={letter}>
              <th scope="row">
                {letter} {name}
              </th>
              <td>{level ? <LevelMark level={level} /> : 'not judged'}</td>
              <td>{lines.length === 0 ? 'nothing heard' : lines.join(', ')}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {arrows.length > 0 && (
        <table class="small">
          <caption>
            Water, {shown.unit}, {basis}
          </caption>
          <thead class="unseen">
            <tr>
              <th scope="col">Path</th>
              <th scope="col">Amount, 90 % interval</th>
              <th scope="col">How sure</th>
            </tr>
          </thead>
          <tbody>
            {arrows.map((arrow, i) => (
              <tr key={arrow.name}>
                <th scope="row">
                  {i + 1} {arrow.words}
                </th>
                <td>{estimateText(arrow.lPerDay, shown)}</td>
                <td>{arrow.unsure ? 'unsure' : 'likely'}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </div>
  )
}
