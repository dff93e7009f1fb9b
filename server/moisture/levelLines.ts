/** The lines of the level table, worst first: which were crossed on a day, which may have been, which cannot be judged. */
import { decayTemperature } from '../physics/decay.ts'
import type { CondensationDay } from './condensation.ts'
import type { ClosedLimits } from './levelStates.ts'
import type { ThirtyDay } from './risk.ts'

export interface DampLimits extends ClosedLimits {
  woodWetPct: number
  woodDampPct: number
  moldWetIndex: number
  surfaceDampPct: number
  surfaceDampClosedPct: number
  ventedExcessPa: number
  ventedExcessDays: number
  condensationHoursPerDay: number
  condensationDays: number
  condensationOfDays: number
  surfaceMeanDays: number
  surfaceColderK: number
}

export type Harm =
  | 'standing water'
  | 'decay'
  | 'mold'
  | 'fastener corrosion and mold'
  | 'dripping'
  | 'a source of moisture'

export interface Line {
  line:
    | 'liquid'
    | 'wood wet'
    | 'mold index'
    | 'wood damp'
    | 'condensation'
    | '30-day surface'
    | 'closed air'
    | 'vented excess'
  level: 'wet' | 'damp'
  value: number
  limit: number
  unit: string
  harm: Harm
  sentence: string
}

/** What is known of one spot on one day. */
export interface DayView {
  closed: boolean
  /** null: no sensor for liquid water here. */
  liquid: boolean | null
  woodPct: { low: number; mid: number; high: number }
  /** Pins read it at least once. */
  woodMeasured: boolean
  /** Mean air temperature of the day, NaN when not known [°C]. */
  tempC: number
  mold: { low: number; high: number }
  thirty: ThirtyDay
  condensation: { surface: string; day: CondensationDay } | null
  /** `damp` 1, 0 or NaN. */
  closedRh: { damp: number; meanPct: number }
  /** Daily excess of the last days, NaN for days not complete [Pa]. */
  excessDaysPa: Float64Array
}

export interface Lines {
  crossed: Line[]
  possible: Line[]
  notJudged: string[]
}

export function linesOf(view: DayView, limits: DampLimits): Lines {
  const lines: Lines = { crossed: [], possible: [], notJudged: [] }
  liquidLine(view, lines)
  woodLines(view, limits, lines)
  moldLine(view, limits, lines)
  condensationLine(view, limits, lines)
  thirtyDayLine(view, limits, lines)
  if (view.closed) closedLine(view, limits, lines)
  else ventedLine(view, limits, lines)
  lines.crossed.sort((a, b) => Number(b.level === 'wet') - Number(a.level === 'wet'))
  return lines
}

function liquidLine({ liquid }: DayView, { crossed, notJudged }: Lines): void {
  if (liquid === null) notJudged.push('Liquid water: no sensor for it at this spot.')
  else if (liquid) {
    const sentence = 'The water sensor reports liquid water.'
    crossed.push({ line: 'liquid', level: 'wet', value: 1, limit: 1, unit: '', harm: 'standing water', sentence })
  }
}

function woodLines(
  { woodPct, woodMeasured, tempC }: DayView,
  limits: DampLimits,
  { crossed, possible, notJudged }: Lines,
): void {
  const { low, mid, high } = woodPct
  if (Number.isNaN(mid)) {
    notJudged.push('Wood moisture: neither pins nor the air of the last days are known.')
    return
  }
  const basis = woodMeasured ? 'from pins and the air since' : 'estimated from the air alone'
  const cold = tempC >= -60 && decayTemperature(tempC) === 'stopped' ? ' Decay stands still at this temperature.' : ''
  const at = (level: 'wet' | 'damp', limit: number): Line => ({
    line: level === 'wet' ? 'wood wet' : 'wood damp',
    level,
    value: mid,
    limit,
    unit: '%',
    harm: level === 'wet' ? 'decay' : 'fastener corrosion and mold',
    sentence: `Wood moisture ${mid.toFixed(1)} % (${low.toFixed(0)} to ${high.toFixed(0)}, ${basis}), line ${limit} %.${level === 'wet' ? cold : ''}`,
  })
  if (mid >= limits.woodWetPct) crossed.push(at('wet', limits.woodWetPct))
  else {
    if (mid >= limits.woodDampPct) crossed.push(at('damp', limits.woodDampPct))
    if (high >= limits.woodWetPct) possible.push(at('wet', limits.woodWetPct))
    else if (mid < limits.woodDampPct && high >= limits.woodDampPct) possible.push(at('damp', limits.woodDampPct))
  }
}

function moldLine({ mold }: DayView, limits: DampLimits, { crossed, possible }: Lines): void {
  const limit = limits.moldWetIndex
  if (!(mold.high >= limit)) return
  const sentence = `Mold index ${mold.low.toFixed(1)} at a surface as warm as the air, ${mold.high.toFixed(1)} at one ${limits.surfaceColderK} K colder; line ${limit}. It adds up over the whole record and fades slowly.`
  const line: Line = { line: 'mold index', level: 'wet', value: mold.low, limit, unit: '', harm: 'mold', sentence }
  if (mold.low >= limit) crossed.push(line)
  else possible.push({ ...line, value: mold.high })
}

function condensationLine({ condensation }: DayView, limits: DampLimits, { crossed, notJudged }: Lines): void {
  if (condensation === null) {
    notJudged.push('Condensation: no cold surface is named and known at this spot.')
    return
  }
  const { surface, day } = condensation
  if (day.rule === 'cannot tell') notJudged.push(`Condensation on ${surface}: too few complete days.`)
  if (day.rule !== 'yes') return
  crossed.push({
    line: 'condensation',
    level: 'damp',
    value: day.condensingHours,
    limit: limits.condensationHoursPerDay,
    unit: 'h/day',
    harm: 'dripping',
    sentence: `Condensation on ${surface} for more than ${limits.condensationHoursPerDay} h on ${limits.condensationDays} of ${limits.condensationOfDays} days (${day.condensingHours} h today).`,
  })
}

function thirtyDayLine({ thirty, closed }: DayView, limits: DampLimits, { crossed, possible, notJudged }: Lines): void {
  if (thirty.kind === 'cannot tell') {
    notJudged.push(`30-day surface RH: ${thirty.reason}`)
    return
  }
  if (!thirty.warmEnough) return
  const limit = closed ? limits.surfaceDampClosedPct : limits.surfaceDampPct
  const { low, high } = thirty.rhPct
  if (high <= limit) return
  const sentence = `${limits.surfaceMeanDays}-day mean surface RH ${low.toFixed(0)} % at a surface as warm as the air, ${high.toFixed(0)} % at one ${limits.surfaceColderK} K colder, line ${limit} %.`
  const line: Line = { line: '30-day surface', level: 'damp', value: low, limit, unit: '%', harm: 'mold', sentence }
  if (low > limit) crossed.push(line)
  else possible.push({ ...line, value: high })
}

function closedLine({ closedRh }: DayView, limits: DampLimits, { crossed, notJudged }: Lines): void {
  if (Number.isNaN(closedRh.damp)) notJudged.push('24 h mean RH: not enough hours yet.')
  if (closedRh.damp !== 1) return
  const mean = Number.isNaN(closedRh.meanPct) ? 'not known now' : `${closedRh.meanPct.toFixed(0)} %`
  const [value, limit] = [closedRh.meanPct, limits.closedOnRhPct]
  const sentence = `24 h mean RH ${mean}; a closed space is damp above ${limit} % until it stays below ${limits.closedOffRhPct} % for ${limits.closedHours} h.`
  crossed.push({ line: 'closed air', level: 'damp', value, limit, unit: '%', harm: 'mold', sentence })
}

function ventedLine({ excessDaysPa }: DayView, limits: DampLimits, { crossed, notJudged }: Lines): void {
  const [limit, span] = [limits.ventedExcessPa, limits.ventedExcessDays]
  if (excessDaysPa.some((value) => value <= limit)) return
  const known = excessDaysPa.filter((value) => !Number.isNaN(value))
  if (known.length < span) {
    notJudged.push(`Vapor excess: ${known.length} of ${span} days are complete inside and outdoors.`)
    return
  }
  const value = known.reduce((sum, day) => sum + day, 0) / known.length
  const sentence = `Vapor excess over outdoor air above ${limit} Pa on each of ${span} days, ${value.toFixed(0)} Pa on average.`
  crossed.push({
    line: 'vented excess',
    level: 'damp',
    value,
    limit,
    unit: 'Pa',
    harm: 'a source of moisture',
    sentence,
  })
}
