/** The drawing in words: spots, water and building, for screen readers, phones and print. */
import type { Level } from '../../server/http/contract/words.ts'
import { LevelMark } from '../base/levelMark.tsx'
import { estimateText, type Shown } from '../base/units.ts'
import type { WaterArrow } from './arrows.ts'
import type { SectionFacts } from './facts.ts'
import { factsInWords } from './factsInWords.ts'

export interface TwinSpot {
  letter: string
  name: string
  level: Level | null
  lines: string[]
}

export interface TwinGiven {
  spots: readonly TwinSpot[]
  arrows: readonly WaterArrow[]
  shown: Shown
  basis: string
  facts: SectionFacts
  dated: (at: number) => string
  /** Values of the day are on their way. */
  waiting: boolean
}

export function Twin({ spots, arrows, shown, basis, facts, dated, waiting }: TwinGiven) {
  const built = factsInWords(facts, dated)
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
              <td>{lines.length === 0 ? (waiting ? 'loading' : 'nothing heard') : lines.map(unbroken).join(', ')}</td>
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
              <th scope="col">Which way, how sure</th>
            </tr>
          </thead>
          <tbody>
            {arrows.map((arrow) => (
              <tr key={arrow.name}>
                <th scope="row">
                  <Swatch arrow={arrow} /> {arrow.words}
                </th>
                <td>{estimateText(arrow.lPerDay, shown)}</td>
                <td>
                  {arrow.removed ? 'leaves' : 'comes'}, {arrow.unsure ? 'unsure' : 'likely'}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {built.length > 0 && (
        <div>
          <h3 class="small twin-head">Building</h3>
          <ul class="twin-built" aria-label="Building as drawn">
            {built.map((sentence) => (
              <li key={sentence}>{sentence}</li>
            ))}
          </ul>
        </div>
      )}
    </div>
  )
}

/** A number stays with its unit. */
const unbroken = (text: string): string => text.replace(/(\d) /g, '$1\u00a0').replace('% ', '%\u00a0')

/** The form of the arrow, without its width: in, unsure, or out. */
function Swatch({ arrow: { unsure, removed } }: { arrow: WaterArrow }) {
  return (
    <svg class="swatch" width={30} height={12} viewBox="0 0 30 12" aria-hidden="true">
      {removed ? (
        <path
          d="M1 3.5H19V1L29 6L19 11V8.5H1Z"
          fill="var(--water3)"
          stroke="var(--water)"
          stroke-dasharray={unsure ? '4 3' : undefined}
        />
      ) : (
        <>
          <path d="M1 6H19" stroke="var(--water)" stroke-width={4} stroke-dasharray={unsure ? '7 4.5' : undefined} />
          <path d="M19 1L29 6L19 11Z" fill={unsure ? 'var(--sheet)' : 'var(--water)'} stroke="var(--water)" />
        </>
      )}
    </svg>
  )
}
