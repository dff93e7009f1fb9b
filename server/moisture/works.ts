/**
 * What each kind of work can change in the balance. A work becomes steps; a step names one property and from when to
 * when it holds. Works less than seven days apart cannot be told apart and form one group.
 */
import { HOUR_MS, type HouseRecord, type Work, type WorkKind } from './input.ts'
import { type KnownMachine, knownMachine } from './machine.ts'

/** Two works closer than this are answered for together (method 8). */
export const SEPARATE_DAYS = 7

export type StepTarget = 'air' | 'airFactor' | 'ground' | 'wetGround' | 'rain'

/** Prior of one property after a work. `air` is the air exchange itself [1/h], the others are factors on what was. */
export interface WorkStep {
  workKey: string
  group: number
  target: StepTarget
  fromHour: number
  toHour: number
  median: number
  spread: number
  basis: 'reference' | 'judgement'
  reason: string
}

export interface MachineSpan {
  workKey: string | null
  group: number | null
  fromHour: number
  toHour: number
  machine: KnownMachine
}

export interface WorkGroup {
  index: number
  keys: string[]
  kinds: WorkKind[]
  from: number
  fromHour: number
  /** Next group, the undoing of this one, or the end of the record. */
  windowEndHour: number
}

/**
 * Air changes with every vent shut, beside what a warm house draws up, and the air one open vent brings [1/h, m3/h]:
 * 0.035 m2, half of them inlets, 1 m/s of sheltered wind, effectiveness 0.3 (handbook figure for wind aslant, from memory).
 */
export const TIGHT_CHANGES = 0.2
export const AIR_PER_VENT = 20
/** Assumed where the count of vents was not recorded. */
export const USUAL_VENTS = 8

const ENCAPSULATION_PARTS: readonly WorkKind[] = ['vents sealed', 'ground cover']

/** The single kinds a work is made of; a machine named in the details counts as one. */
export function partsOf(work: Work): WorkKind[] {
  const named = work.parts && work.parts.length > 0 ? [...work.parts] : null
  const parts = named ?? (work.kind === 'encapsulation' ? [...ENCAPSULATION_PARTS] : [work.kind])
  const hasMachine = (work.details?.ratedLPerDay ?? work.details?.setRhPct ?? null) !== null
  const withMachine = hasMachine && !parts.includes('dehumidifier') ? [...parts, 'dehumidifier' as const] : parts
  return withMachine.flatMap((kind) => (kind === 'encapsulation' ? ENCAPSULATION_PARTS : [kind]))
}

export function groupWorks(record: HouseRecord): WorkGroup[] {
  const groups: WorkGroup[] = []
  for (const work of worksInRecord(record)) {
    const last = groups.at(-1)
    const fromHour = hourOf(record, work.from)
    const previous = last ? work.from - lastStart(record, last) : Number.POSITIVE_INFINITY
    if (last && previous < SEPARATE_DAYS * 24 * HOUR_MS) {
      last.keys.push(work.key)
      last.kinds.push(...partsOf(work))
      continue
    }
    if (last) last.windowEndHour = Math.min(last.windowEndHour, fromHour)
    groups.push({
      index: groups.length,
      keys: [work.key],
      kinds: partsOf(work),
      from: work.from,
      fromHour,
      windowEndHour: record.hours,
    })
  }
  for (const group of groups) {
    for (const work of record.works) {
      if (!group.keys.includes(work.key) || work.to === undefined || work.to === null) continue
      group.windowEndHour = Math.min(group.windowEndHour, hourOf(record, work.to))
    }
  }
  return groups
}

const lastStart = (record: HouseRecord, group: WorkGroup) =>
  record.works.find((work) => work.key === group.keys.at(-1))!.from

/** Works that lie inside the record, by date. Those before it are its starting state, those after it change nothing. */
function worksInRecord(record: HouseRecord): Work[] {
  const end = record.startAt + record.hours * HOUR_MS
  return record.works.filter((w) => w.from > record.startAt && w.from < end).sort((a, b) => a.from - b.from)
}

export function hourOf(record: HouseRecord, at: number): number {
  return Math.max(0, Math.min(record.hours, Math.round((at - record.startAt) / HOUR_MS)))
}

export interface WorkPlan {
  groups: WorkGroup[]
  steps: WorkStep[]
  machines: MachineSpan[]
  /** A repair says that something leaked before it. */
  repairHours: number[]
}

export function planWorks(record: HouseRecord, volumeM3: number): WorkPlan {
  const groups = groupWorks(record)
  const plan: WorkPlan = { groups, steps: [], machines: [], repairHours: [] }
  if (record.machineAtStart) {
    const machine = knownMachine(record.machineAtStart)
    plan.machines.push({ workKey: null, group: null, fromHour: 0, toHour: record.hours, machine })
  }
  for (const work of worksInRecord(record)) {
    const group = groups.find((g) => g.keys.includes(work.key))!.index
    const fromHour = hourOf(record, work.from)
    const toHour = work.to ? hourOf(record, work.to) : record.hours
    for (const part of new Set(partsOf(work))) {
      if (part === 'repair') plan.repairHours.push(fromHour)
      if (part === 'dehumidifier') {
        plan.machines.push({ workKey: work.key, group, fromHour, toHour, machine: knownMachine(work.details ?? {}) })
      }
      for (const prior of priorsOf(part, work, record, volumeM3)) {
        plan.steps.push({ ...prior, workKey: work.key, group, fromHour, toHour })
      }
    }
  }
  return plan
}

export type StepPrior = Pick<WorkStep, 'target' | 'median' | 'spread' | 'basis' | 'reason'>

/** What this kind of work is expected to change, before any data. */
export function priorsOf(kind: WorkKind, work: Work, record: HouseRecord, volumeM3: number): StepPrior[] {
  const cover = record.geometry.coverShare ?? 0.5
  const vents = record.geometry.ventCount ?? USUAL_VENTS
  const judged = 'judgement' as const
  switch (kind) {
    case 'vents sealed':
      return [{ target: 'air', median: TIGHT_CHANGES, spread: 0.9, basis: judged, reason: 'a closed crawl space' }]
    case 'vents opened': {
      const median = TIGHT_CHANGES + (vents * AIR_PER_VENT) / volumeM3
      return [{ target: 'air', median, spread: 0.9, basis: judged, reason: '20 m3/h a vent' }]
    }
    case 'vent fan': {
      const fan = work.details?.fanM3PerHour ?? null
      const median = TIGHT_CHANGES + (fan === null ? 2 : fan / volumeM3)
      return [
        { target: 'air', median, spread: fan === null ? 0.9 : 0.6, basis: judged, reason: 'the air the fan moves' },
      ]
    }
    case 'ground cover': {
      const after = work.details?.coverShareAfter ?? null
      const left = after === null ? 0.12 : 1 - 0.92 * after
      const median = Math.min(0.74, left / (1 - 0.92 * cover))
      return [
        { target: 'ground', median, spread: 0.9, basis: judged, reason: 'bare share left after the cover' },
        { target: 'wetGround', median: 0.5, spread: 0.7, basis: judged, reason: 'water under a cover half held back' },
      ]
    }
    case 'downspout drain':
    case 'yard drain':
    case 'footing drain':
      return [{ target: 'rain', median: 0.3, spread: 0.9, basis: judged, reason: 'most roof water led away' }]
    case 'other':
      return (['airFactor', 'ground', 'rain'] as const).map((target) => ({
        target,
        median: 1,
        spread: 0.9,
        basis: judged,
        reason: 'kind not known: may go either way',
      }))
    default:
      return []
  }
}
