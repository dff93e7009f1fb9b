/** Two houses of the demo generator, which shares no code with the model: five-minute steps, soil heat, probes. */
import { expect, test } from 'vitest'
import { randomHouseSpec } from '../../demo-data/generator/randomHouse.ts'
import { simulateHouse } from '../../demo-data/generator/simulateHouse.ts'
import { trueEffects, trueSources } from '../../demo-data/generator/truth.ts'
import { findEffects } from '../../server/moisture/effect.ts'
import { type HouseModel, understandHouse } from '../../server/moisture/house.ts'
import { findSources } from '../../server/moisture/sources.ts'
import { recordOf } from '../support/inventedHouse.ts'

function examined(kind: 'ground_cover' | 'nothing', seed: number) {
  const spec = randomHouseSpec(seed, kind)
  const run = simulateHouse(spec, seed)
  const understood = understandHouse(recordOf(spec, run, seed))
  if (!('model' in understood)) throw new Error(understood.cannotTell)
  return { spec, run, model: understood.model as HouseModel, truth: trueEffects(spec, seed, run)[0]! }
}

test('a cover in an invented house: the interval holds the true effect, the temperature moves the right way', () => {
  const { spec, run, model, truth } = examined('ground_cover', 2000)
  const { soFar, verdict } = findEffects(model)[0]!
  expect(verdict).toBe(truth.verdict)
  expect(soFar.humidityRatioGKg.low).toBeLessThan(truth.change.humidityRatioGKg)
  expect(soFar.humidityRatioGKg.high).toBeGreaterThan(truth.change.humidityRatioGKg)
  expect(Math.abs(soFar.rhPct.mid - truth.change.rhPct)).toBeLessThan(2)
  // Evaporation saved warms the space: 0.45 K in truth.
  expect(truth.change.tempC).toBeGreaterThan(0.2)
  expect(Math.abs(soFar.tempC.mid - truth.change.tempC)).toBeLessThan(0.3)
  const ground = findSources(model)[0]!.paths.find((p) => p.path === 'ground')!
  const entries = trueSources(spec, run)[0]!.entriesKgPerDay
  expect(ground.entersLPerDay.low).toBeLessThan(entries.ground)
  expect(ground.entersLPerDay.high).toBeGreaterThan(entries.ground)
})

test('a work that changed nothing in an invented house is not credited', () => {
  const { model } = examined('nothing', 2001)
  const [effect] = findEffects(model)
  expect(effect!.verdict).toBe('no clear change')
  expect(effect!.probabilityNothing).toBeGreaterThan(0.5)
})
