/** One probe of a check: what it reads, its line since the box was closed, the verdict with its interval. */
import type { ComponentChildren } from 'preact'
import { useId } from 'preact/hooks'
import type { CheckedProbe } from '../../server/http/contract/checks.ts'
import { Chip } from '../base/parts.tsx'
import { usePerson } from '../base/person.ts'
import { ageText } from '../base/time.ts'
import { plain, withUnit } from '../base/units.ts'
import {
  type Act,
  actsFor,
  correctionText,
  offsetLines,
  RH_OFFSET,
  TRACE_HEIGHT,
  TRACE_WIDTH,
  traceDrawn,
  VERDICT_WORDS,
} from './words.ts'

export function Probe({
  probe,
  act,
  onAct,
  became,
  children,
}: {
  probe: CheckedProbe
  /** Undefined: as advised. Null: there is nothing to choose. */
  act: Act | undefined | null
  onAct?: (act: Act) => void
  became?: string
  children?: ComponentChildren
}) {
  const { units } = usePerson()
  const acts = actsFor(probe)
  const id = useId()
  const { last, verdict } = probe
  return (
    <li class="probe">
      <div class="row">
        <h3>{probe.name}</h3>
        {verdict !== null && <Chip kind={verdict === 'fine' ? 'open' : 'firm'}>{VERDICT_WORDS[verdict]}</Chip>}
      </div>
      {last === null ? (
        <p>Not heard since the box was closed{probe.hasRadio ? '' : ': it has no radio, read it out'}.</p>
      ) : (
        <p>
          {plain(last.rhPct, RH_OFFSET)} % RH, {withUnit(last.tempC, 'tempC', units)}
          {became === undefined && <span class="quiet">, {ageText(Date.now() - last.at)}</span>}
          {probe.expectedRhPct !== null && `; the salt gives ${plain(probe.expectedRhPct, RH_OFFSET)} % RH`}
        </p>
      )}
      <Trace probe={probe} />
      {offsetLines(probe, units).map((line) => (
        <p key={line} class="offset">
          {line}
        </p>
      ))}
      {probe.reason !== '' && <p>{probe.reason}</p>}
      {probe.corrections.length > 0 && became === undefined && (
        <p>Correction: {correctionText(probe.corrections, units)}.</p>
      )}
      {act !== null && (
        <div class="field">
          <label for={id}>What to do with {probe.name}</label>
          <select id={id} value={act ?? acts[0]!.act} onChange={(event) => onAct?.(event.currentTarget.value as Act)}>
            {acts.map((one) => (
              <option key={one.act} value={one.act}>
                {one.label}
              </option>
            ))}
          </select>
        </div>
      )}
      {became !== undefined && (
        <p>
          <strong>{became}</strong> {children}
        </p>
      )}
    </li>
  )
}

function Trace({ probe }: { probe: CheckedProbe }) {
  const drawn = traceDrawn(probe)
  if (drawn === null) return null
  const wanted = drawn.wantedY === null ? '' : ', with the line of the salt'
  return (
    <svg
      class="trace"
      viewBox={`0 0 ${TRACE_WIDTH} ${TRACE_HEIGHT}`}
      preserveAspectRatio="none"
      role="img"
      aria-label={`RH of ${probe.name} since the box was closed, between ${drawn.low} and ${drawn.high} %${wanted}`}
    >
      {drawn.wantedY !== null && (
        <path
          d={`M0 ${drawn.wantedY}H${TRACE_WIDTH}`}
          stroke="var(--soil)"
          stroke-dasharray="4 4"
          vector-effect="non-scaling-stroke"
        />
      )}
      <path d={drawn.path} fill="none" stroke="var(--water)" stroke-width={2} vector-effect="non-scaling-stroke" />
    </svg>
  )
}
