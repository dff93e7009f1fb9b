/** What the readings of a file amount to, gathered batch by batch: rows, steps, ranges, runs, doubles. */
import type { Quantity } from '../../series/quantities.ts'
import type { ProbeFound, ReadingsBatch } from './understanding.ts'

export interface QuantityTally {
  count: number
  min: number
  max: number
  sum: number
  /** Longest run of one value. */
  longestRun: { value: number; rows: number; ms: number }
}

export interface ProbeTally {
  probeKey: string
  rows: number
  firstAt: number
  lastAt: number
  /** Steps back in time (in a file that runs forward), and forward (in one that runs backward). */
  forward: number
  backward: number
  /** Same instant as the row before, with the same values and with others. */
  repeated: number
  differing: number
  quantities: Map<Quantity, QuantityTally>
  steps: Map<number, number>
}

export interface Tally {
  add(batch: ReadingsBatch): void
  probes(): ProbeTally[]
}

const MAX_STEPS = 500

export function createTally(): Tally {
  const byKey = new Map<string, { tally: ProbeTally; last: LastRow }>()
  return {
    add(batch) {
      let entry = byKey.get(batch.probeKey)
      if (!entry)
        byKey.set(
          batch.probeKey,
          (entry = {
            tally: newProbe(batch.probeKey),
            last: { at: Number.NaN, values: new Map(), step: 0, stepCount: 0 },
          }),
        )
      addTimes(entry.tally, entry.last, batch)
      for (const [quantity, values] of Object.entries(batch.columns) as [Quantity, Float64Array][]) {
        addValues(entry.tally, quantity, values, batch.at)
      }
      rememberLast(entry.last, batch)
    },
    probes() {
      for (const { tally, last } of byKey.values()) flushStep(tally, last)
      return [...byKey.values()].map((entry) => entry.tally)
    },
  }
}

interface LastRow {
  at: number
  values: Map<Quantity, number>
  step: number
  stepCount: number
}

function addTimes(tally: ProbeTally, last: LastRow, { at, columns }: ReadingsBatch): void {
  tally.rows += at.length
  let previous = last.at
  for (let i = 0; i < at.length; i++) {
    const now = at[i]!
    if (now < tally.firstAt) tally.firstAt = now
    if (now > tally.lastAt) tally.lastAt = now
    const step = now - previous
    if (step === last.step) last.stepCount++
    else if (!Number.isNaN(step)) {
      flushStep(tally, last)
      last.step = step
      last.stepCount = 1
    }
    if (step > 0) tally.forward++
    else if (step < 0) tally.backward++
    else if (step === 0) {
      const same = (Object.entries(columns) as [Quantity, Float64Array][]).every(([quantity, values]) => {
        const before = i > 0 ? values[i - 1] : last.values.get(quantity)
        return Object.is(before, values[i])
      })
      if (same) tally.repeated++
      else tally.differing++
    }
    previous = now
  }
  last.at = previous
}

function flushStep(tally: ProbeTally, last: LastRow): void {
  if (last.stepCount === 0) return
  const seen = tally.steps.get(last.step)
  if (seen !== undefined || tally.steps.size < MAX_STEPS) tally.steps.set(last.step, (seen ?? 0) + last.stepCount)
  last.stepCount = 0
}

const rememberLast = (last: LastRow, { columns, at }: ReadingsBatch): void => {
  for (const [quantity, values] of Object.entries(columns) as [Quantity, Float64Array][]) {
    last.values.set(quantity, values[at.length - 1]!)
  }
}

interface Run {
  value: number
  rows: number
  from: number
}
const runs = new WeakMap<QuantityTally, Run>()

function addValues(tally: ProbeTally, quantity: Quantity, values: Float64Array, at: Float64Array): void {
  let of = tally.quantities.get(quantity)
  if (!of) {
    of = { count: 0, min: Infinity, max: -Infinity, sum: 0, longestRun: { value: Number.NaN, rows: 0, ms: 0 } }
    tally.quantities.set(quantity, of)
    runs.set(of, { value: Number.NaN, rows: 0, from: 0 })
  }
  const run = runs.get(of)!
  let { count, min, max, sum } = of
  for (let i = 0; i < values.length; i++) {
    const value = values[i]!
    if (Number.isNaN(value)) continue
    count++
    sum += value
    if (value < min) min = value
    if (value > max) max = value
    if (value === run.value) {
      run.rows++
      if (run.rows > of.longestRun.rows) of.longestRun = { value, rows: run.rows, ms: Math.abs(at[i]! - run.from) }
    } else {
      run.value = value
      run.rows = 1
      run.from = at[i]!
    }
  }
  Object.assign(of, { count, min, max, sum })
}

const newProbe = (probeKey: string): ProbeTally => ({
  probeKey,
  rows: 0,
  firstAt: Infinity,
  lastAt: -Infinity,
  forward: 0,
  backward: 0,
  repeated: 0,
  differing: 0,
  quantities: new Map(),
  steps: new Map(),
})

/** Most common step between rows, ms (negative: newest first), and the share of steps that have it. */
export function commonStep(tally: ProbeTally): { stepMs: number; share: number } {
  let [stepMs, most, all] = [0, 0, 0]
  for (const [step, count] of tally.steps) {
    all += count
    if (step !== 0 && count > most) [stepMs, most] = [step, count]
  }
  return { stepMs, share: all > 0 ? most / all : 0 }
}

export function probeFound(tally: ProbeTally): ProbeFound {
  const { stepMs } = commonStep(tally)
  return {
    probeKey: tally.probeKey,
    rows: tally.rows,
    firstAt: tally.firstAt,
    lastAt: tally.lastAt,
    stepMs: tally.rows < 3 || stepMs === 0 ? null : Math.abs(stepMs),
    quantities: [...tally.quantities]
      .filter(([, of]) => of.count > 0)
      .map(([quantity, { count, min, max, sum }]) => ({ quantity, count, min, max, sum })),
  }
}
