/**
 * Time of a what-if on a fitted house: a year of an invented house with four probes and two works, fitted once. The
 * middle (goal 100 ms) and the whole interval (goal 1 s), in the record's weather and in another year, beside one
 * simulated year of the same run: the ratios are what to compare between machines.
 */
import { randomHouseSpec } from '../../demo-data/generator/randomHouse.ts'
import { simulateHouse } from '../../demo-data/generator/simulateHouse.ts'
import { middleDraw, runDraw, understandHouse } from '../../server/moisture/house.ts'
import { DAY_HOURS, HOUR_MS } from '../../server/moisture/input.ts'
import { median } from '../../server/moisture/numbers.ts'
import { type Remedy, type TypicalYear, whatIf, whatIfMiddle } from '../../server/moisture/whatif.ts'
import { recordOf } from '../support/inventedHouse.ts'

const SEED = 4711
const spec = randomHouseSpec(SEED, 'ground_cover')
const first = Date.UTC(2023, 2, 1)
const dateOf = (day: number) => new Date(first + day * DAY_HOURS * HOUR_MS).toISOString().slice(0, 10)
const house = {
  ...spec,
  from: dateOf(0),
  to: dateOf(365),
  probes: spec.probes.map((p) => ({ ...p, faults: [] })),
  works: [
    { key: 'drain', kind: 'downspout drain' as const, from: dateOf(100), roofShareLeft: 0.02 },
    { key: 'cover', kind: 'ground cover' as const, from: dateOf(180), coverShare: 0.97 },
  ],
}
const record = recordOf(house, simulateHouse(house, SEED), SEED)
const understood = understandHouse(record)
if (!('model' in understood)) throw new Error(understood.cannotTell)
const { model } = understood
const { outdoorTempC, outdoorPa, rainMm } = model.prepared
const year: TypicalYear = { startAt: record.startAt, tempC: outdoorTempC, vaporPressurePa: outdoorPa, rainMm }
const remedies: Remedy[] = [
  { kind: 'vents sealed' },
  { kind: 'dehumidifier', details: { ratedLPerDay: 33, setRhPct: 50 } },
]
const options = { coldSurface: { name: 'supply duct', insideTempC: 13, insulationM2KPerW: 0.7 } }

/** The first call, in code not yet compiled, and the median of the later half. */
function timed(work: () => void, rounds: number): { first: number; settled: number } {
  const times = Array.from({ length: rounds }, () => {
    const started = performance.now()
    work()
    return performance.now() - started
  })
  return { first: times[0]!, settled: median(times.slice(rounds / 2)) }
}

const draw = middleDraw(model)
const one = timed(() => runDraw(model, draw, new Set()), 20).settled
function row(name: string, rounds: number, work: () => void): void {
  const { first, settled } = timed(work, rounds)
  const years = `${Math.round(settled / one)} simulated years`
  console.log(`${name.padEnd(36)} first ${first.toFixed(1).padStart(7)} ms, then ${settled.toFixed(1)} ms, ${years}`)
}
console.log(`${model.prepared.hours} hours of record; one simulated year ${one.toFixed(2)} ms`)
row('middle, the record (goal 100 ms)', 20, () => whatIfMiddle(model, remedies, null, options))
row('middle, another year (goal 100 ms)', 20, () => whatIfMiddle(model, remedies, year, options))
row('interval, the record (goal 1 s)', 6, () => whatIf(model, remedies, null, options))
row('interval, another year (goal 1 s)', 6, () => whatIf(model, remedies, year, options))
