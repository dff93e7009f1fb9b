/** Storms, and what each spot answered. */
import { useState } from 'preact/hooks'
import type { HousePage } from '../../server/http/contract/page.ts'
import { Scrolls, Section } from '../base/parts.tsx'
import { usePerson } from '../base/person.ts'
import { localDateText } from '../base/time.ts'
import { plain, shownAs } from '../base/units.ts'

const SHOWN_FIRST = 8

export function StormsSection({ page }: { page: HousePage }) {
  const [all, setAll] = useState(false)
  const { units } = usePerson()
  const { summary, storms } = page.storms
  if (summary.length === 0) return null
  const spots = page.spaces.flatMap((space) => space.spots).filter(({ level }) => level !== null)
  const [rain, vapor] = [shownAs('rainMm', units), shownAs('vaporPressurePa', units)]
  const latest = [...storms].reverse()
  const shown = all ? latest : latest.slice(0, SHOWN_FIRST)
  return (
    <Section
      id="storms"
      title="Storms"
      note="What the space answered in the 72 hours after the rain began, with outdoor vapor taken away. Bold: a clear rise."
    >
      {summary.map(({ sentence, evidenceFor }) => (
        <div key={sentence} class="stack">
          <p>{sentence}</p>
          {evidenceFor.slice(0, 1).map((text) => (
            <p key={text} class="small">
              {text}
            </p>
          ))}
        </div>
      ))}
      {storms.length > 0 && (
        <Scrolls label="Storms and responses" class="storms">
          <table>
            <thead>
              <tr>
                <th scope="col">Rain began</th>
                <th scope="col" class="number">
                  Rain, {rain.unit}
                </th>
                {spots.map(({ spot, letter }) => (
                  <th key={spot} scope="col" class="number">
                    {letter}, {vapor.unit}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {shown.map((storm) => (
                <tr key={storm.date}>
                  <th scope="row">{localDateText(storm.date)}</th>
                  <td class="number">
                    {storm.atLeast && 'at least '}
                    {plain(storm.rainMm, rain)}
                  </td>
                  {spots.map(({ spot }) => {
                    const response = storm.responses.find((one) => one.spot === spot)
                    if (response === undefined || response.changePa === null) {
                      return (
                        <td key={spot} class="number quiet" title={response?.reason ?? undefined}>
                          cannot tell
                        </td>
                      )
                    }
                    const text = plain(response.changePa, { ...vapor, digits: 1 })
                    return (
                      <td key={spot} class="number">
                        {response.clear ? (
                          <strong>
                            {text}
                            <span class="unseen"> clear rise</span>
                          </strong>
                        ) : (
                          text
                        )}
                      </td>
                    )
                  })}
                </tr>
              ))}
            </tbody>
          </table>
        </Scrolls>
      )}
      {storms.length > SHOWN_FIRST && (
        <button type="button" class="plain" aria-expanded={all} onClick={() => setAll(!all)}>
          {all ? 'Show the latest alone' : `Show all ${storms.length} storms`}
        </button>
      )}
    </Section>
  )
}
