/**
 * Time of a whole answer on one core: a year of an invented house with four probes and three works, fitted with its
 * "did nothing" models, then effects, sources and need with their intervals. Beside it, in the same run, one simulated
 * year of the balance: the ratio is what to compare between machines.
 */
import { randomHouseSpec } from '../../demo-data/generator/randomHouse.ts'
import { simulateHouse } from '../../demo-data/generator/simulateHouse.ts'
import { findEffects } from '../../server/moisture/effect.ts'
import { middleDraw, runDraw, understandHouse } from '../../server/moisture/house.ts'
import { DAY_HOURS, HOUR_MS } from '../../server/moisture/input.ts'
import { findNeed } from '../../server/moisture/need.ts'
import { median } from '../../server/moisture/numbers.ts'
import { findSources } from '../../server/moisture/sources.ts'
import { recordOf } from '../support/inventedHouse.ts'

const SEED = 4711
const ROUNDS = 5
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
    { key: 'vents', kind: 'vents sealed' as const, from: dateOf(260), ventOpenShare: 0.03 },
  ],
}
const record = recordOf(house, simulateHouse(house, SEED), SEED)
const timed = <T>(work: () => T): [T, number] => {
  const started = performance.now()
  const result = work()
  return [result, performance.now() - started]
}

const cpu = () => (process.cpuUsage().user + process.cpuUsage().system) / 1000
const totals: number[] = []
const cpuTotals: number[] = []
const years: number[] = []
for (let round = 0; round < ROUNDS; round++) {
  const cpuBefore = cpu()
  const [understood, fit] = timed(() => understandHouse(record))
  if (!('model' in understood)) throw new Error(understood.cannotTell)
  const { model } = understood
  const [effects, effect] = timed(() => findEffects(model))
  const [, sources] = timed(() => findSources(model))
  const [, need] = timed(() => findNeed(model))
  cpuTotals.push(cpu() - cpuBefore)
  const draw = middleDraw(model)
  const [, year] = timed(() => {
    for (let i = 0; i < 20; i++) runDraw(model, draw, new Set())
  })
  const total = fit + effect + sources + need
  totals.push(total)
  years.push(year / 20)
  const parts = [fit, effect, sources, need].map((ms) => `${Math.round(ms)}`.padStart(5)).join(' ')
  console.log(
    `${parts} ms (fit, ${effects.length} effects, sources, need); one simulated year ${(year / 20).toFixed(2)} ms`,
  )
}
const total = median(totals)
const cpuText = (median(cpuTotals) / 1000).toFixed(2)
console.log(`processor time of a whole answer ${cpuText} s, all threads (on a busy machine the fairer figure)`)
console.log(
  `whole answer ${(total / 1000).toFixed(2)} s (goal under 3 s), ${Math.round(total / median(years))} simulated years`,
)
