/** Risk to the wood, spot by spot; each line says which harm it guards against. */
import type { HousePage } from '../../server/http/contract/page.ts'
import { LevelMark } from '../base/levelMark.tsx'
import { Chip, Evidence, Section } from '../base/parts.tsx'

const CHIPS = { act: 'firm', watch: 'open', clear: 'open', 'cannot tell': 'unsure' } as const

export function RiskSection({ page }: { page: HousePage }) {
  const spots = page.spaces.flatMap((space) => space.spots).filter(({ level }) => level !== null)
  if (spots.length === 0) return null
  return (
    <Section
      id="risk"
      title="Risk by spot"
      note="What set the level of each spot, and what is estimated of wood and surfaces. Estimates from the air are no inspection: look at the wood, and read it with pins."
    >
      <ul class="risk">
        {spots.map((spot) => (
          <li key={spot.spot}>
            <p class="row">
              <strong>
                {spot.letter}, {spot.name}
              </strong>
              {spot.level && <LevelMark level={spot.level} />}
            </p>
            <p>
              {spot.because === '' ? 'Crosses no line.' : spot.because}
              {spot.guardsAgainst !== '' && ` The line guards against ${spot.guardsAgainst}.`}
            </p>
            <details class="small">
              <summary>Wood, mold index and surfaces</summary>
              <ul class="risk-topics">
                {page.risk
                  .filter((one) => one.spot === spot.spot)
                  .map(({ topic, state, finding }) => (
                    <li key={topic}>
                      <p class="row">
                        <strong>{topic}</strong> <Chip kind={CHIPS[state]}>{state}</Chip>
                      </p>
                      <p>{finding.sentence}</p>
                      <Evidence given={finding} />
                    </li>
                  ))}
              </ul>
              {spot.possible.map((text) => (
                <p key={text}>Perhaps worse: {text}</p>
              ))}
              {spot.notJudged.map((text) => (
                <p key={text} class="quiet">
                  Not judged: {text}
                </p>
              ))}
            </details>
          </li>
        ))}
      </ul>
    </Section>
  )
}
