/** A dehumidifier by geometry: the load of a humid day by path, ratings, the code's floor beside it, what sealing first would save. */
import { useState } from 'preact/hooks'
import { celsiusFromFahrenheit, m2FromSquareFeet, metersFromFeet } from '../../server/http/contract/words.ts'
import { noFaults } from '../base/faults.ts'
import { Holds, TroubleBox } from '../base/parts.tsx'
import { usePerson } from '../base/person.ts'
import { plain, shownAs } from '../base/units.ts'
import { ChoiceField, NumberField } from '../enter/fields.tsx'
import { useSizing } from './asking.ts'

const ANSWERS = ['no', 'yes', 'not looked at'] as const
type SafetyAnswer = (typeof ANSWERS)[number]
const same = (value: number) => value

/** A usual crawl space on a humid day of the humid southeast; everything is there to be changed. */
const USUAL = {
  floorAreaM2: m2FromSquareFeet(1500),
  heightM: metersFromFeet(3),
  changesPerHour: 1,
  sealedChangesPerHour: 0.3,
  outdoorTempC: celsiusFromFahrenheit(80),
  outdoorRhPct: 75,
  heldTempC: celsiusFromFahrenheit(70),
  heldRhPct: 55,
  coverShare: 0.9,
  bareGroundLPerM2Day: 0.2,
  litersPerKwh: 1.6,
  pricePerKwh: 0.16,
}
const SAFETY = [
  ['floodZone', 'Flood hazard zone'],
  ['combustionAppliances', 'Fuel-burning appliance in or drawing from the space'],
  ['radonTest', 'Radon tested'],
] as const
const BASES = [
  ['65 °F', '65 °F / 60 % (portable)'],
  ['73 °F', '73 °F / 60 % (whole-home)'],
  ['80 °F', '80 °F / 60 % (older label)'],
] as const

export function DehumidifierForm() {
  const { units } = usePerson()
  const [asked, setAsked] = useState(USUAL)
  const [safety, setSafety] = useState<Record<(typeof SAFETY)[number][0], SafetyAnswer>>({
    floodZone: 'not looked at',
    combustionAppliances: 'not looked at',
    radonTest: 'not looked at',
  })
  const { answer, trouble } = useSizing({ dehumidifier: { ...asked, safety } })
  const us = units === 'us'
  const [area, height, temperature] = [shownAs('areaM2', units), shownAs('heightM', units), shownAs('tempC', units)]
  const set = (some: Partial<typeof USUAL>) => setAsked({ ...asked, ...some })
  const field = (key: keyof typeof USUAL, label: string, digits: number, to = same, from = same, hint?: string) => (
    <NumberField
      label={label}
      hint={hint}
      path={`/dehumidifier/${key}`}
      faults={noFaults}
      value={asked[key]}
      to={to}
      from={from}
      digits={digits}
      onChange={(value) => set({ [key]: value ?? USUAL[key] })}
    />
  )
  const percent = (share: number) => share * 100
  return (
    <section class="part" aria-labelledby="dehumidifier-head">
      <h2 id="dehumidifier-head">A dehumidifier</h2>
      <div class="fields">
        {field('floorAreaM2', `Floor area, ${area.unit}`, 0, area.of, us ? m2FromSquareFeet : same)}
        {field('heightM', `Height, ${height.unit}`, 1, height.of, us ? metersFromFeet : same)}
        {field(
          'changesPerHour',
          'Outdoor air changes an hour, as it is',
          2,
          same,
          same,
          'A vented space has one or more; a sealed one 0.1 to 0.5. Common practice, no source.',
        )}
        {field('sealedChangesPerHour', 'The same once sealed', 2)}
        {field(
          'outdoorTempC',
          `Humid day outdoors, ${temperature.unit}`,
          0,
          temperature.of,
          us ? celsiusFromFahrenheit : same,
        )}
        {field('outdoorRhPct', 'Humid day outdoors, % RH', 0)}
        {field('heldTempC', `Air to hold, ${temperature.unit}`, 0, temperature.of, us ? celsiusFromFahrenheit : same)}
        {field('heldRhPct', 'Air to hold, % RH', 0)}
        {field('coverShare', 'Ground under a cover, %', 0, percent, (value) => value / 100)}
        {field(
          'bareGroundLPerM2Day',
          'Bare ground gives off, liters a day for each m²',
          2,
          same,
          same,
          'From 0 for dry ground to about 0.35 for an uncovered wet one. Common practice, no source.',
        )}
        {field('litersPerKwh', 'Efficiency on the label, liters per kWh', 2)}
        {field('pricePerKwh', 'Price of a kWh, $', 2)}
        {SAFETY.map(([key, label]) => (
          <ChoiceField
            key={key}
            label={label}
            none={null}
            path={`/dehumidifier/safety/${key}`}
            faults={noFaults}
            value={safety[key]}
            choices={ANSWERS}
            onChange={(value) => setSafety({ ...safety, [key]: value ?? 'not looked at' })}
          />
        ))}
      </div>
      {trouble && <TroubleBox trouble={trouble} />}
      {answer?.dehumidifier && <Told told={answer.dehumidifier} />}
    </section>
  )
}

function Told({ told }: { told: NonNullable<NonNullable<ReturnType<typeof useSizing>['answer']>['dehumidifier']> }) {
  const { units } = usePerson()
  const air = shownAs('airLPerDay', units)
  const amount = (value: number) => `${plain(value, air)} ${air.unit}`
  return (
    <div class="sized stack" aria-live="polite">
      <p>
        On such a day <strong>{amount(told.loadLPerDay)}</strong> must be taken out: outdoor air{' '}
        {plain(told.byPath.outdoorAir, air)}, bare ground {plain(told.byPath.ground, air)}.
      </p>
      {told.ratedLPerDay && (
        <table class="small">
          <caption class="unseen">Rated capacity to look for, 20 % margin included</caption>
          <thead>
            <tr>
              <th scope="col">Test on the label</th>
              <th scope="col" class="number">
                Rated capacity to look for, {air.unit}
              </th>
            </tr>
          </thead>
          <tbody>
            {BASES.map(([basis, name]) => (
              <tr key={basis}>
                <th scope="row">{name}</th>
                <td class="number">{plain(told.ratedLPerDay![basis], { ...air, digits: 0 })}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <p>
        Beside that, the model code’s option asks for {amount(told.codeFloorLPerDay)} of capacity for this floor
        {told.codeGoverns ? ', which is more than the load asks' : ''}. {told.confirm}
      </p>
      <p>
        {told.sealingSavesLPerDay > 0.05
          ? `Sealing first saves ${amount(told.sealingSavesLPerDay)}.`
          : 'Sealing first would not lighten the load on such a day.'}{' '}
        A unit just large enough would run about {plain(told.runningHoursPerDay, { of: same, digits: 0 })} hours and use{' '}
        {plain(told.kwhPerDay, { of: same, digits: 1 })} kWh a day, about $
        {plain(told.costPerMonth, { of: same, digits: 0 })} a month of such days.
      </p>
      {told.cautions.map((caution) => (
        <p key={caution} class="caution">
          {caution}
        </p>
      ))}
      {told.holdsOnSealing.length > 0 && (
        <p>Sealing is held until this is settled; the numbers stand, the work does not:</p>
      )}
      <Holds holds={told.holdsOnSealing} />
    </div>
  )
}
