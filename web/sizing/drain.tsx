/** A run of solid pipe for roof and yard water, by its real fall. */
import { useState } from 'preact/hooks'
import { feetFromMeters, inchesFromMm, m2FromSquareFeet, metersFromFeet } from '../../server/http/contract/words.ts'
import { noFaults } from '../base/faults.ts'
import { TroubleBox } from '../base/parts.tsx'
import { usePerson } from '../base/person.ts'
import { plain, shownAs } from '../base/units.ts'
import { ChoiceField, NumberField } from '../enter/fields.tsx'
import { useSizing } from './asking.ts'

const same = (value: number) => value
const MM_PER_IN = 25.4
const GPM_PER_M3S = 15_850.32
const PIPES = [
  { value: '0.011', label: 'smooth plastic' },
  { value: '0.024', label: 'corrugated plastic' },
] as const
const USUAL = {
  roofM2: m2FromSquareFeet(800),
  yardM2: 0,
  rainMmPerHour: 4 * MM_PER_IN,
  lengthM: metersFromFeet(60),
  fallM: metersFromFeet(1.2),
}
/** Shares of the rain that run off (HEC-22 gives 0.75 to 0.95 for roofs, 0.05 to 0.35 for lawns). */
const ROOF = 0.95
const LAWN = 0.25

export function DrainForm() {
  const { units } = usePerson()
  const [asked, setAsked] = useState(USUAL)
  const [manning, setManning] = useState<(typeof PIPES)[number]['value']>('0.011')
  const { roofM2, yardM2, ...run } = asked
  const surfaces = [
    { areaM2: roofM2, coefficient: ROOF },
    { areaM2: yardM2, coefficient: LAWN },
  ]
  const { answer, trouble } = useSizing({ drain: { ...run, surfaces, manningN: Number(manning) } })
  const us = units === 'us'
  const [area, height] = [shownAs('areaM2', units), shownAs('heightM', units)]
  const field = (
    key: keyof typeof USUAL,
    label: string,
    digits: number,
    to: (si: number) => number,
    from: (shown: number) => number,
    hint?: string,
  ) => (
    <NumberField
      label={label}
      hint={hint}
      path={`/drain/${key}`}
      faults={noFaults}
      value={asked[key]}
      to={to}
      from={from}
      digits={digits}
      onChange={(value) => setAsked({ ...asked, [key]: value ?? USUAL[key] })}
    />
  )
  const meters = us ? metersFromFeet : same
  const drain = answer?.drain
  return (
    <section class="part" aria-labelledby="drain-head">
      <h2 id="drain-head">A drain line</h2>
      <div class="fields">
        {field('roofM2', `Roof drained to it, ${area.unit}`, 0, area.of, us ? m2FromSquareFeet : same)}
        {field('yardM2', `Lawn drained to it, ${area.unit}`, 0, area.of, us ? m2FromSquareFeet : same)}
        {field(
          'rainMmPerHour',
          `Design rain, ${us ? 'in' : 'mm'} an hour`,
          1,
          us ? inchesFromMm : same,
          us ? (value) => value * MM_PER_IN : same,
          'Ask for the county’s value for your storm; none is assumed by the code office for you.',
        )}
        {field('lengthM', `Length of the run, ${height.unit}`, 0, height.of, meters)}
        {field(
          'fallM',
          `Measured fall, inlet to outlet, ${height.unit}`,
          2,
          height.of,
          meters,
          'By level, not by eye.',
        )}
        <ChoiceField
          label="Pipe"
          none={null}
          path="/drain/manningN"
          faults={noFaults}
          value={manning}
          choices={PIPES}
          onChange={(value) => setManning(value ?? '0.011')}
        />
      </div>
      {trouble && <TroubleBox trouble={trouble} />}
      {drain && (
        <div class="sized stack" aria-live="polite">
          <p>
            {plain(drain.flowM3s, {
              of: us ? (flow) => flow * GPM_PER_M3S : (flow) => flow * 1000,
              digits: us ? 0 : 1,
            })}{' '}
            {us ? 'gallons a minute' : 'liters a second'} at a slope of{' '}
            {plain(drain.slope * 100, { of: same, digits: 1 })} %:{' '}
            <strong>
              {drain.diameterIn === null
                ? 'no single pipe carries it'
                : us
                  ? `${drain.diameterIn} in pipe`
                  : `${Math.round(drain.diameterIn * MM_PER_IN)} mm pipe`}
            </strong>
            , counted three quarters full.
          </p>
          {drain.fallForSmallerM !== null && (
            <p class="small">
              With {plain(drain.fallForSmallerM, { of: us ? feetFromMeters : same, digits: 2 })} {height.unit} of fall
              the next smaller size would do.
            </p>
          )}
          {drain.cautions.map((caution) => (
            <p key={caution} class="caution">
              {caution}
            </p>
          ))}
          <p class="small">
            {drain.confirm} Call for utility marks before digging, and keep the outlet off neighbors, walks, streets and
            septic fields; never into a sanitary sewer.
          </p>
        </div>
      )}
    </section>
  )
}
