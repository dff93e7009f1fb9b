/**
 * Time of a what-if on a fitted house: a year of an invented house with four probes and three works, fitted once. The
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
const ROUNDS = 7
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

function timed(work: () => void): number {
  work()
  const times = Array.from({ length: ROUNDS }, () => {
    const started = performance.now()
    work()
    return performance.now() - started
  })
  return median(times)
}

const draw = middleDraw(model)
const one = timed(() => runDraw(model, draw, new Set()))
const row = (name: string, ms: number) =>
  console.log(
    `${name.padEnd(36)} ${ms.toFixed(1).padStart(7)} ms  ${(ms / one).toFixed(0).padStart(5)} simulated years`,
  )
console.log(`${model.prepared.hours} hours of record; one simulated year ${one.toFixed(2)} ms`)
row(
  'middle, the record (goal 100 ms)',
  timed(() => whatIfMiddle(model, remedies, null, options)),
)
row(
  'middle, another year (goal 100 ms)',
  timed(() => whatIfMiddle(model, remedies, year, options)),
)
row(
  'interval, the record (goal 1 s)',
  timed(() => whatIf(model, remedies, null, options)),
)
row(
  'interval, another year (goal 1 s)',
  timed(() => whatIf(model, remedies, year, options)),
)
