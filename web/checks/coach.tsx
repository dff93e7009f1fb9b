/** Where the next logger of a house goes, and why. */
import { useState } from 'preact/hooks'
import type { ChecksAnswer, PlacingAnswer } from '../../server/http/contract/checks.ts'
import { ofHouse } from '../base/api.ts'
import { noFaults } from '../base/faults.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting, Chip, InventedStamp, Section } from '../base/parts.tsx'
import { usePerson } from '../base/person.ts'
import { ChoiceField } from '../enter/fields.tsx'

/** For a page on which a house is chosen. */
export function Coach({ houses }: { houses: ChecksAnswer['houses'] }) {
  const [key, setKey] = useState<string | undefined>(undefined)
  if (houses.length === 0) return null
  return (
    <Section id="coach" title="Where the next logger goes">
      <div class="stack-14 coach">
        <ChoiceField
          label="House"
          none="choose a house"
          path="/house"
          faults={noFaults}
          value={key}
          choices={houses.map(({ key: value, name }) => ({ value, label: name }))}
          onChange={setKey}
        />
        {houses.some((house) => house.key === key && house.invented) && <InventedStamp />}
        {key !== undefined && <PlacingCoach houseKey={key} />}
      </div>
    </Section>
  )
}

/** For a page of one house. */
export function PlacingCoach({ houseKey }: { houseKey: string }) {
  const { units } = usePerson()
  const loaded = useLoad<PlacingAnswer>(ofHouse(houseKey, `/placing?units=${units}`))
  if (loaded.body === null) return <Awaiting loaded={loaded} what="the advice" again={loaded.again} />
  const { advice, enough } = loaded.body
  return (
    <>
      {advice.length === 0 && <p>Nothing is missing.</p>}
      <ol class="advice">
        {advice.map((one) => (
          <li key={one.key}>
            <p>
              <strong>{one.where}</strong> {one.now && <Chip kind="firm">a logger is at hand</Chip>}
            </p>
            <p>{one.why}</p>
            {one.how.length > 0 && (
              <ul class="small">
                {one.how.map((line) => (
                  <li key={line}>{line}</li>
                ))}
              </ul>
            )}
          </li>
        ))}
      </ol>
      {enough.length > 0 && (
        <>
          <h3>There already</h3>
          <ul class="enough">
            {enough.map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
        </>
      )}
    </>
  )
}
