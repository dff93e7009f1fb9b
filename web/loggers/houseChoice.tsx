/** Which house: a choice among those under care. */
import type { RoundAnswer, RoundHouse } from '../../server/http/contract/round.ts'
import type { Faults } from '../base/faults.ts'
import { useLoad } from '../base/load.ts'
import { usePerson } from '../base/person.ts'
import { ChoiceField } from '../enter/fields.tsx'

/** By name; null while they are loaded. */
export function useHouses(): RoundHouse[] | null {
  const { units } = usePerson()
  const { body } = useLoad<RoundAnswer>(`/api/round?units=${units}`)
  return body && [...body.houses].sort((a, b) => a.name.localeCompare(b.name))
}

export function HouseChoice({
  houses,
  value,
  onChange,
  faults,
  none,
  hint,
}: {
  houses: readonly RoundHouse[]
  value: string | undefined
  onChange: (key: string | undefined) => void
  faults: Faults
  /** What stands there before one is chosen. */
  none: string
  hint?: string
}) {
  return (
    <ChoiceField
      label="House"
      path="/house"
      faults={faults}
      none={none}
      hint={hint}
      value={value}
      choices={houses.map(({ key, name, invented }) => ({
        value: key,
        label: invented && !name.includes('invented') ? `${name} (invented)` : name,
      }))}
      onChange={onChange}
    />
  )
}
