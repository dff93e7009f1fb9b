/** The priors of every parameter, in SI units. Judgements are marked; nothing here was fitted to a house. */

import type { Dimensions } from './dimensions.ts'
import { DAY_HOURS } from './input.ts'
import type { Findings, ParameterSpec } from './parameters.ts'
import type { Prepared } from './prepare.ts'
import { AIR_PER_VENT, TIGHT_CHANGES, USUAL_VENTS, type WorkPlan } from './works.ts'

const VENT_SHARE = { open: 1, 'partly open': 0.5, closed: 0 } as const
const ROOF_SHARE = { 'end at the wall': 0.5, 'some led away': 0.15, 'led away': 0.04 } as const

/** Three per cent of the 1500 m3/h that a cooling system moves (common practice, no source) [m3/h]. */
const COOLING_AIR_M3H = 45
/** A sixth of the 120 m3/h by which a common house leaks in winter; its stack draws it up through the floor (judgement). */
const UPDRAFT_M3H = 20

export function specsOf(prepared: Prepared, plan: WorkPlan, size: Dimensions, findings: Findings): ParameterSpec[] {
  const { geometry } = prepared.record
  const specs: ParameterSpec[] = []
  const add = (spec: ParameterSpec) => specs.push(spec)
  const wider = (spread: number, known: boolean, extra: number) => (known ? spread : Math.hypot(spread, extra))

  const vents = geometry.ventCount ?? USUAL_VENTS
  const open = VENT_SHARE[geometry.ventState ?? 'partly open']
  const ventsKnown = geometry.ventState !== null && (geometry.ventCount !== null || open === 0)
  add(
    judged(
      'changes',
      'air exchange',
      '1/h',
      'log',
      TIGHT_CHANGES + (open * vents * AIR_PER_VENT) / size.volumeM3,
      wider(0.7, ventsKnown, 0.6),
      '0.2 an hour tight, 20 m³/h an open vent',
    ),
  )
  add({
    ...judged('draftShare', 'share driven by temperature', '', 'lin', 0.45, 0.2, 'wind is not measured'),
    low: 0,
    high: 0.95,
  })
  const cover = geometry.coverShare ?? 0.5
  const coverKnown = geometry.coverShare !== null
  const groundSpread = Math.hypot(wider(1.1, coverKnown, 0.7), size.sizeSpread)
  add({
    ...judged(
      'ground',
      'ground evaporation',
      'kg/(h Pa)',
      'log',
      3e-9 * 3600 * size.floorAreaM2 * (1 - 0.92 * cover),
      groundSpread,
      'film of still air, half of the soil dry',
    ),
    basis: 'reference',
  })
  add({
    ...judged('groundOffset', 'ground colder or warmer', 'K', 'lin', 0, 0.5, 'surface against air'),
    low: -2,
    high: 2,
  })
  add({
    ...judged('seasonWeight', 'weight of deep ground', '', 'lin', 0.3, 0.15, 'surface and soil resistances in series'),
    low: 0,
    high: 0.9,
    basis: 'reference',
  })
  if (prepared.rainKnown) {
    const roof = geometry.downspouts ?? 'some led away'
    add(
      judged(
        'wetGround',
        'ground wetted by rain',
        'kg/(h Pa)',
        'log',
        5e-9 * 3600 * size.floorAreaM2 * ROOF_SHARE[roof],
        Math.hypot(wider(1, geometry.downspouts !== null, 0.7), size.sizeSpread),
        `downspouts ${roof}`,
      ),
    )
    add(judged('emptyingHours', 'ground dries after rain', 'h', 'log', 96, 0.6, 'four days'))
    add(judged('soakingHours', 'rain soaks in', 'h', 'log', 12, 0.6, 'half a day'))
    add(judged('halfWetMm', 'rain that wets half', 'mm', 'log', 15, 0.7, 'more rain adds less and less'))
  }
  add(judged('houseChanges', 'house air through the floor', '1/h', 'log', 0.06, 0.8, 'leaky floor, small pressure'))
  add(
    judged(
      'coolingChanges',
      'house air while it is cooled',
      '1/h',
      'log',
      COOLING_AIR_M3H / size.volumeM3,
      1,
      'ducts leak a few per cent of the air they move',
    ),
  )
  add(
    judged(
      'updraftChanges',
      'air drawn up by a warm house',
      '1/h',
      'log',
      UPDRAFT_M3H / size.volumeM3,
      0.8,
      'a sixth of the air that leaks into a house',
    ),
  )
  add(judged('woodArea', 'wood surface', '× usual', 'log', 1, Math.hypot(0.4, size.sizeSpread), '2.5 m² a m² of floor'))
  add(judged('woodCore', 'wood core', '× usual', 'log', 1, 0.4, 'framing of 21.7 kg a m² of floor'))
  add({
    ...judged('woodPermeability', 'wood permeability', 'kg/(m s Pa)', 'log', 3e-12, 0.5, 'across the grain'),
    basis: 'reference',
  })
  add({
    ...judged('bias', 'common sensor offset', '', 'lin', 0, 0.015, 'four loggers of ±2 % RH'),
    low: -0.1,
    high: 0.1,
  })
  const startRh = startRhOf(prepared)
  add({
    ...judged('startRh', 'wood at the start', '', 'lin', startRh.tenDays, 0.06, 'mean RH of the first ten days'),
    low: 0.15,
    high: 0.99,
  })
  if (plan.machines.length > 0) {
    const setKnown = plan.machines.every((m) => m.machine.setKnown)
    const ratingKnown = plan.machines.every((m) => m.machine.ratingKnown)
    add({
      ...judged(
        'setOffset',
        'set point offset',
        '',
        'lin',
        0,
        setKnown ? 0.03 : 0.06,
        'the machine reads its own sensor',
      ),
      low: -0.15,
      high: 0.2,
    })
    add(judged('capacity', 'machine capacity', '× rated', 'log', 1, ratingKnown ? 0.2 : 0.5, 'dirt, air flow, age'))
  }
  if (findings.leakFromHour !== null || plan.repairHours.length > 0) {
    add(judged('leak', 'steady source', 'kg/h', 'log', 0.3, 0.9, 'a drip to a trickle'))
  }
  for (const [i, step] of plan.steps.entries()) {
    if (step.target === 'rain' || step.target === 'wetGround') if (!prepared.rainKnown) continue
    add({
      ...judged(
        `step${i}`,
        `${step.target} after ${step.workKey}`,
        step.target === 'air' ? '1/h' : '×',
        'log',
        step.median,
        step.spread,
        step.reason,
      ),
      basis: step.basis,
      step,
    })
  }
  return specs
}

function judged(
  key: string,
  label: string,
  unit: string,
  scale: 'log' | 'lin',
  median: number,
  spread: number,
  reason: string,
): ParameterSpec {
  return { key, label, unit, scale, median, spread, basis: 'judgement', reason }
}

/** Mean RH of the first two and ten days with readings, as fractions. */
export function startRhOf(prepared: Prepared): { twoDays: number; tenDays: number } {
  const { tempC, saturationPa } = prepared.climate
  const measured = prepared.space.vaporPressurePa
  const over = (days: number) => {
    let [sum, n] = [0, 0]
    for (let h = 0; h < Math.min(tempC.length, days * DAY_HOURS) || (n === 0 && h < tempC.length); h++) {
      if (!Number.isFinite(measured[h]!)) continue
      sum += measured[h]! / saturationPa[h]!
      n++
    }
    return Math.min(0.97, Math.max(0.2, sum / n))
  }
  return { twoDays: over(2), tenDays: over(10) }
}
