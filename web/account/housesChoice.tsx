/** Which houses somebody is given. */
import type { PeopleAnswer } from '../../server/http/contract/people.ts'

export function HousesChoice({
  houses,
  chosen,
  onChange,
}: {
  houses: PeopleAnswer['houses']
  chosen: readonly string[]
  onChange: (chosen: string[]) => void
}) {
  return (
    <fieldset class="houses-choice whole">
      <legend>Houses they are given</legend>
      {houses.length === 0 && <p class="small quiet">No house is entered yet.</p>}
      {houses.map(({ key, name }) => (
        <label key={key} class="choice">
          <input
            type="checkbox"
            checked={chosen.includes(key)}
            onChange={(event) =>
              onChange(event.currentTarget.checked ? [...chosen, key] : chosen.filter((one) => one !== key))
            }
          />
          <span>{name}</span>
        </label>
      ))}
    </fieldset>
  )
}
