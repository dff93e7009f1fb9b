/** What a dehumidifier would have to take out on a hard day, and what to look for on its label. */
import type { BalanceContract } from '../../server/http/contract/balance.ts'
import { usePerson } from '../base/person.ts'
import { estimateText, plain, shownAs } from '../base/units.ts'

type Need = Extract<BalanceContract, { outcome: 'told' }>['need']

const LABELS = [
  ['65 °F', '65 °F / 60 % (portable)'],
  ['73 °F', '73 °F / 60 % (whole-home)'],
  ['80 °F', '80 °F / 60 % (older label)'],
] as const

export function Needs({ need, targetRhPct }: { need: Need; targetRhPct: number }) {
  const { units } = usePerson()
  const [air, water] = [shownAs('airLPerDay', units), shownAs('waterL', units)]
  const floor =
    need.codeFloorLPerDay === null
      ? 'The floor area is not recorded, so the model code’s floor of capacity cannot be told.'
      : `Beside that, the model code’s option for a closed crawl space asks for ${plain(need.codeFloorLPerDay, { ...air, digits: 0 })} ${air.unit} of capacity for this floor. That is a floor of capacity, not the load; confirm the adopted code with the local official.`
  if (need.outcome === 'cannot tell') {
    return (
      <div class="stack">
        <p>
          What a dehumidifier would have to take out cannot be told: {need.reason} {need.missing.join('; ')}.
        </p>
        <p class="small">{floor}</p>
      </div>
    )
  }
  return (
    <div class="stack need">
      <p>
        To hold {targetRhPct} % RH on a hard day a dehumidifier would take out{' '}
        <strong>
          {estimateText(need.lPerDay, air)} {air.unit}
        </strong>
        {units === 'us' && `, ${plain(need.lPerDay.mid, { ...water, digits: 1 })} gallons`}. On the mean day:{' '}
        {plain(need.meanLPerDay.mid, air)}.
      </p>
      {need.ratedLPerDay && (
        <table class="small">
          <caption class="unseen">Rating to look for, 20 % margin included</caption>
          <thead>
            <tr>
              <th scope="col">Test on the label</th>
              <th scope="col">Rated capacity to look for, {air.unit}</th>
            </tr>
          </thead>
          <tbody>
            {LABELS.map(([basis, name]) => (
              <tr key={basis}>
                <th scope="row">{name}</th>
                <td>{estimateText(need.ratedLPerDay![basis], { ...air, digits: 0 })}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {need.icing && (
        <p class="caution small">
          The air is under 65 °F: coils ice and capacity falls. Read the ratings as a range, and look for a unit made
          for cold spaces.
        </p>
      )}
      <p class="small quiet">
        {need.basis.charAt(0).toUpperCase()}
        {need.basis.slice(1)}; {need.scale}. 20 % margin included.
      </p>
      <p class="small">{floor}</p>
    </div>
  )
}
