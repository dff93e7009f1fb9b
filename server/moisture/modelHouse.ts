/** From a parameter vector to the properties of the balance, stretch by stretch, with or without some works. */
import { type Constants, type Stretch, WOOD_PER_FLOOR } from './balance.ts'
import type { Dimensions } from './dimensions.ts'
import type { Findings, ParameterSpec } from './parameters.ts'
import type { Prepared } from './prepare.ts'
import { startRhOf } from './priors.ts'
import type { MachineSpan, WorkPlan } from './works.ts'

/** The house that a parameter vector describes. */
export class ModelHouse {
  readonly specs: readonly ParameterSpec[]
  private readonly prepared: Prepared
  private readonly plan: WorkPlan
  private readonly size: Dimensions
  private readonly findings: Findings
  private readonly index: Map<string, number>
  private readonly surfaceRh: number
  private readonly bounds: number[]

  constructor(
    prepared: Prepared,
    plan: WorkPlan,
    size: Dimensions,
    findings: Findings,
    specs: readonly ParameterSpec[],
  ) {
    this.prepared = prepared
    this.plan = plan
    this.size = size
    this.findings = findings
    this.specs = specs
    this.index = new Map(specs.map((s, i) => [s.key, i]))
    this.surfaceRh = startRhOf(prepared).twoDays
    this.bounds = boundsOf(prepared.hours, plan, findings)
  }

  /** The same house with fewer or other free parameters. */
  withSpecs(specs: readonly ParameterSpec[]): ModelHouse {
    return new ModelHouse(this.prepared, this.plan, this.size, this.findings, specs)
  }

  value(theta: Float64Array, key: string, otherwise = 0): number {
    const i = this.index.get(key)
    if (i === undefined) return otherwise
    const spec = this.specs[i]!
    if (spec.scale === 'log') return Math.exp(theta[i]!)
    return Math.min(spec.high ?? Number.POSITIVE_INFINITY, Math.max(spec.low ?? Number.NEGATIVE_INFINITY, theta[i]!))
  }

  constants(theta: Float64Array): Constants {
    const v = (key: string, otherwise?: number) => this.value(theta, key, otherwise)
    return {
      volumeM3: this.size.volumeM3,
      draftShare: v('draftShare'),
      houseChangesPerH: v('houseChanges'),
      coolingChangesPerH: v('coolingChanges'),
      updraftChangesPerH: v('updraftChanges'),
      seasonWeight: v('seasonWeight'),
      groundOffsetK: v('groundOffset'),
      emptyingHours: v('emptyingHours', 96),
      soakingHours: v('soakingHours', 12),
      halfWetMm: v('halfWetMm', 15),
      woodAreaM2: WOOD_PER_FLOOR * this.size.floorAreaM2 * v('woodArea'),
      coreFactor: v('woodCore'),
      woodPermeability: v('woodPermeability'),
      startRh: v('startRh'),
      startSurfaceRh: this.surfaceRh,
      meanRainMm: this.prepared.meanRainMm,
    }
  }

  /** @param without works to leave out, as if nobody had done them */
  stretches(theta: Float64Array, without: ReadonlySet<string> = NONE): Stretch[] {
    const out: Stretch[] = []
    for (let b = 0; b + 1 < this.bounds.length; b++) {
      const [fromHour, toHour] = [this.bounds[b]!, this.bounds[b + 1]!]
      out.push({ fromHour, toHour, ...this.propertiesAt(theta, fromHour, without) })
    }
    return out
  }

  /** Properties of the house in this hour. */
  propertiesAt(
    theta: Float64Array,
    hour: number,
    without: ReadonlySet<string> = NONE,
  ): Omit<Stretch, 'fromHour' | 'toHour'> {
    let changesPerH = this.value(theta, 'changes')
    let ground = this.value(theta, 'ground')
    let wetGround = this.value(theta, 'wetGround')
    let rainShare = 1
    for (const [i, spec] of this.specs.entries()) {
      const step = spec.step
      if (!step || hour < step.fromHour || hour >= step.toHour || without.has(step.workKey)) continue
      const factor = Math.exp(theta[i]!)
      if (step.target === 'air') changesPerH = factor
      else if (step.target === 'airFactor') changesPerH *= factor
      else if (step.target === 'ground') ground *= factor
      else if (step.target === 'wetGround') wetGround *= factor
      else rainShare *= factor
    }
    return {
      changesPerH,
      ground,
      wetGround,
      rainShare,
      leakKgPerH: this.leakAt(theta, hour, without),
      machine: this.machineAt(theta, hour, without),
    }
  }

  private leakAt(theta: Float64Array, hour: number, without: ReadonlySet<string>): number {
    const leak = this.value(theta, 'leak')
    if (leak === 0) return 0
    const { leakFromHour, leakToHour } = this.findings
    if (leakFromHour !== null) return hour >= leakFromHour && hour < (leakToHour ?? this.prepared.hours) ? leak : 0
    const repair = this.plan.repairHours[0] ?? 0
    const undone = this.plan.groups.some((g) => g.fromHour === repair && g.keys.some((key) => without.has(key)))
    return hour < repair || undone ? leak : 0
  }

  private machineAt(theta: Float64Array, hour: number, without: ReadonlySet<string>): Stretch['machine'] {
    if (this.findings.machineStops.some((stop) => hour >= stop.fromHour && hour < stop.toHour)) return null
    let latest: MachineSpan | null = null
    for (const span of this.plan.machines) {
      if (hour < span.fromHour || hour >= span.toHour || (span.workKey !== null && without.has(span.workKey))) continue
      if (latest === null || span.fromHour >= latest.fromHour) latest = span
    }
    if (latest === null) return null
    return {
      setRh: Math.max(0.2, latest.machine.setRh + this.value(theta, 'setOffset')),
      ratedKgPerH: latest.machine.ratedKgPerH * this.value(theta, 'capacity', 1),
    }
  }
}

const NONE: ReadonlySet<string> = new Set()

function boundsOf(hours: number, plan: WorkPlan, findings: Findings): number[] {
  const marks = [0, hours, ...plan.repairHours]
  for (const span of [...plan.steps, ...plan.machines, ...findings.machineStops]) marks.push(span.fromHour, span.toHour)
  if (findings.leakFromHour !== null) marks.push(findings.leakFromHour, findings.leakToHour ?? hours)
  return [...new Set(marks.filter((m) => m >= 0 && m <= hours))].sort((a, b) => a - b)
}
