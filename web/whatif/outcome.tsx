/** What the remedies would change: as it is, after, and the difference, with intervals. */
import type { WhatIfContract } from '../../server/http/contract/balance.ts'
import { Scrolls } from '../base/parts.tsx'
import { usePerson } from '../base/person.ts'
import { type Estimate, estimateText, plain, type Quantity, type Shown, shownAs } from '../base/units.ts'

type Told = Extract<WhatIfContract, { outcome: 'told' }>
interface Compared {
  asIs: Estimate
  after: Estimate
  change: Estimate
}

export function Outcome({ answer }: { answer: WhatIfContract }) {
  const { units } = usePerson()
  if (answer.outcome === 'cannot tell') {
    return (
      <p>
        {answer.reason} {answer.missing.join('; ')}.
      </p>
    )
  }
  if (answer.outcome === 'middle') return <Middle answer={answer} />
  const rows: [name: string, quantity: Quantity, compared: Compared, digits?: number][] = [
    ['Vapor', 'vaporPressurePa', answer.vaporPressurePa, units === 'us' ? 1 : 0],
    ['RH', 'rhPct', answer.rhPct, 0],
    ['Temperature', 'tempC', answer.tempC],
    ['Wood moisture', 'woodMcPct', answer.woodMcPct],
    ['Mold index at the end', 'moldIndex', answer.moldIndex.end],
  ]
  return (
    <div class="stack">
      {answer.held && (
        <p class="holds-line">
          <strong>Held.</strong> {answer.held.reason} It is computed, and not to be quoted before.
        </p>
      )}
      <Scrolls label="What the remedies would change">
        <table class="small">
          <caption class="unseen">Mean over the {answer.period.basis}, as it is and with the remedies</caption>
          <thead>
            <tr>
              <th scope="col">Mean of {answer.period.basis}</th>
              <th scope="col" class="number">
                As it is
              </th>
              <th scope="col" class="number">
                After
              </th>
              <th scope="col">Change, 90 % interval</th>
            </tr>
          </thead>
          <tbody>
            {rows.map(([name, quantity, { asIs, after, change }, digits]) => {
              const shown = shownAs(quantity, units)
              const how = digits === undefined ? shown : { ...shown, digits }
              const difference =
                quantity === 'tempC' ? shownAs('tempK', units) : { ...how, digits: Math.max(1, how.digits) }
              return (
                <tr key={name}>
                  <th scope="row">
                    {name}, {shown.unit}
                  </th>
                  <td class="number">{plain(asIs.mid, how)}</td>
                  <td class="number">{plain(after.mid, how)}</td>
                  <td>{estimateText(change, difference)}</td>
                </tr>
              )
            })}
            <tr>
              <th scope="row">Hours over 80 % RH</th>
              <td class="number">{percent(answer.hoursOver80Share.asIs.mid)}</td>
              <td class="number">{percent(answer.hoursOver80Share.after.mid)}</td>
              <td>
                {percent(answer.hoursOver80Share.change.low)} to {percent(answer.hoursOver80Share.change.high)}
              </td>
            </tr>
          </tbody>
        </table>
      </Scrolls>
      <Machine answer={answer} />
      <Condensing answer={answer} />
      {answer.assumptions.length > 0 && (
        <details class="small">
          <summary>What is assumed</summary>
          <ul>
            {answer.assumptions.map((text) => (
              <li key={text}>{text}</li>
            ))}
          </ul>
        </details>
      )}
    </div>
  )
}

/** While a slider moves: what the middle of the model says; intervals follow. */
function Middle({ answer }: { answer: Extract<WhatIfContract, { outcome: 'middle' }> }) {
  const { units } = usePerson()
  const [water, kwh, hours] = [shownAs('waterL', units), shownAs('kwh', units), shownAs('hours', units)]
  const {
    period,
    machine: { after },
  } = answer
  const rows: [name: string, quantity: Quantity, compared: { asIs: number; after: number }][] = [
    ['Vapor', 'vaporPressurePa', answer.vaporPressurePa],
    ['RH', 'rhPct', answer.rhPct],
    ['Temperature', 'tempC', answer.tempC],
    ['Wood moisture', 'woodMcPct', answer.woodMcPct],
    ['Mold index at the end', 'moldIndex', answer.moldIndexEnd],
  ]
  return (
    <div class="stack">
      {answer.held && (
        <p class="holds-line">
          <strong>Held.</strong> {answer.held.reason}
        </p>
      )}
      <table class="small">
        <caption class="unseen">Middle, as it is and with the remedies; intervals follow</caption>
        <thead>
          <tr>
            <th scope="col">Middle; intervals follow</th>
            <th scope="col" class="number">
              As it is
            </th>
            <th scope="col" class="number">
              After
            </th>
          </tr>
        </thead>
        <tbody>
          {rows.map(([name, quantity, { asIs, after }]) => {
            const shown = shownAs(quantity, units)
            return (
              <tr key={name}>
                <th scope="row">
                  {name}, {shown.unit}
                </th>
                <td class="number">{plain(asIs, shown)}</td>
                <td class="number">{plain(after, shown)}</td>
              </tr>
            )
          })}
        </tbody>
      </table>
      {after && (
        <p class="small">
          The dehumidifier would run {plain(after.runningHours, hours)} hours in {Math.round(period.days)} days, take
          out {plain(after.liters, water)} {water.unit} and use {plain(after.kwh, kwh)} kWh.
        </p>
      )}
    </div>
  )
}

const percent = (share: number): string => `${plain(share * 100, { of: (value) => value, digits: 0 })} %`

function Machine({ answer: { machine, period, need } }: { answer: Told }) {
  const { units } = usePerson()
  const [water, kwh, hours, air] = [
    shownAs('waterL', units),
    shownAs('kwh', units),
    shownAs('hours', units),
    shownAs('airLPerDay', units),
  ]
  const after = machine.after
  return (
    <div class="stack small">
      {after && (
        <p>
          The dehumidifier would run {plain(after.runningHours.mid, hours)} hours in {Math.round(period.days)} days,
          take out {plain(after.liters.mid, water)} {water.unit} ({plain(after.liters.low, water)} to{' '}
          {plain(after.liters.high, water)}) and use {plain(after.kwh.mid, kwh)} kWh ({plain(after.kwh.low, kwh)} to{' '}
          {plain(after.kwh.high, kwh)}).
        </p>
      )}
      {need.after.outcome === 'told' && need.asIs.outcome === 'told' && (
        <p>
          A dehumidifier’s hard day would then be {estimateText(need.after.lPerDay, air)} {air.unit}; as it is,{' '}
          {plain(need.asIs.lPerDay.mid, air)}.{need.savesLPerDay && ` ${savesText(need.savesLPerDay, air)}`}
        </p>
      )}
    </div>
  )
}

function savesText(saves: Estimate, air: Shown): string {
  if (plain(saves.mid, air) === plain(0, air)) return 'Doing this first does not lighten a hard day.'
  const { low, mid, high } = saves
  if (mid > 0) return `Doing this first saves ${estimateText(saves, air)} ${air.unit}.`
  return `Doing this first adds ${estimateText({ low: -high, mid: -mid, high: -low }, air)} ${air.unit}.`
}

function Condensing({ answer: { condensation } }: { answer: Told }) {
  const text =
    condensation.outcome === 'told'
      ? `Condensing on ${condensation.surface}: ${Math.round(condensation.hours.asIs.mid)} hours as it is, ${Math.round(condensation.hours.after.mid)} after.`
      : `Condensation: ${condensation.reason}`
  return <p class="small">{text}</p>
}
