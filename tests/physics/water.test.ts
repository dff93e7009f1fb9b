import fc from 'fast-check'
import { expect, test } from 'vitest'
import * as water from '../../server/physics/water.ts'

const diameterM = fc.double({ min: 0.05, max: 1, noNaN: true })
const manningN = fc.double({ min: 0.009, max: 0.025, noNaN: true })
const slope = fc.double({ min: 0.001, max: 0.2, noNaN: true })

test('the diameter for a flow carries that flow', () => {
  fc.assert(
    fc.property(diameterM, manningN, slope, (d, n, s) => {
      expect(water.fullPipeDiameterM(water.fullPipeFlowM3s(d, n, s), n, s)).toBeCloseTo(d, 9)
    }),
  )
})

test('a wider, smoother or steeper pipe carries more', () => {
  fc.assert(
    fc.property(diameterM, manningN, slope, (d, n, s) => {
      const flow = water.fullPipeFlowM3s(d, n, s)
      expect(water.fullPipeFlowM3s(1.1 * d, n, s)).toBeGreaterThan(flow)
      expect(water.fullPipeFlowM3s(d, 1.1 * n, s)).toBeLessThan(flow)
      expect(water.fullPipeFlowM3s(d, n, 1.1 * s)).toBeGreaterThan(flow)
    }),
  )
})

// HEC-22 eq. 9.1 prints V = (0.59 / n) D^0.67 S^0.5 in feet: rounded, so 1 % apart at most for yard pipe sizes.
test.each([0.25, 0.333, 0.5, 1])('velocity in a %d ft pipe agrees with the rounded foot form within 1 %%', (feet) => {
  const footForm = (0.59 / 0.011) * feet ** 0.67 * Math.sqrt(0.01)
  const ours = water.fullPipeVelocityMs(feet * 0.3048, 0.011, 0.01) / 0.3048
  expect(Math.abs(ours / footForm - 1)).toBeLessThan(0.01)
})

test('an inch of rain on a square foot of roof is 0.6234 gallons (HEC-22 and trade texts)', () => {
  expect(water.runoffL(0.09290304, 25.4) / 3.785411784).toBeCloseTo(0.6234, 4)
})

test('a roof alone and a roof in two halves shed the same peak', () => {
  const whole = water.rationalFlowM3s(0.9, 100, 200)
  expect(2 * water.rationalFlowM3s(0.9, 100, 100)).toBeCloseTo(whole, 12)
})

test('a grate is held back by its rim in a trickle and by its openings in a flood', () => {
  const trickle = water.grateDepth(0.001, 1, 0.05)
  const flood = water.grateDepth(0.2, 1, 0.05)
  expect([trickle.controlledBy, flood.controlledBy]).toEqual(['rim', 'openings'])
  expect(water.grateWeirFlowM3s(1, trickle.depthM)).toBeCloseTo(0.001, 12)
  expect(water.grateOrificeFlowM3s(0.05, flood.depthM)).toBeCloseTo(0.2, 12)
  expect(water.grateWeirPerimeterM(0.001, trickle.depthM)).toBeCloseTo(1, 9)
})

// HEC-22 eq. 7.15 in its foot form: 1 ft² of openings under 1 ft of water, 0.67 (64.4)^0.5 = 5.377 ft³/s.
test('a square foot of openings under a foot of water passes 5.377 ft³/s', () => {
  expect(water.grateOrificeFlowM3s(0.09290304, 0.3048) / 0.3048 ** 3).toBeCloseTo(5.377, 2)
})

const BAD_CALLS: readonly [string, () => unknown, string][] = [
  ['a coefficient in per cent', () => water.rationalFlowM3s(90, 50, 100), 'coefficient must be between 0 and 1'],
  ['rain in micrometers', () => water.rationalFlowM3s(0.9, 5000, 100), 'rainMmPerHour must be between 0 and 1000'],
  ['a county', () => water.rationalFlowM3s(0.9, 50, 900_000), 'areaM2 must be between 0 and 809372 m²'],
  ['no surfaces', () => water.weightedRunoffCoefficient([]), 'The total area must be greater than 0'],
  ['a negative roof', () => water.runoffL(-1, 10), 'planAreaM2 must be at least 0'],
  ['rain below 0', () => water.runoffL(10, -1), 'rainMm must be between 0 and 2000 mm'],
  ['a pipe in millimeters', () => water.fullPipeFlowM3s(100, 0.01, 0.01), 'diameterM must be between 0.01 and 5 m'],
  ['a level pipe', () => water.fullPipeFlowM3s(0.1, 0.01, 0), 'slope must be between 0.00001 and 1 m/m, got 0'],
  ['a slope in per cent', () => water.fullPipeDiameterM(0.01, 0.01, 2), 'slope must be between 0.00001 and 1 m/m'],
  ['no roughness', () => water.fullPipeVelocityMs(0.1, 0, 0.01), 'manningN must be between 0.005 and 0.1'],
  ['no flow', () => water.fullPipeDiameterM(0, 0.01, 0.01), 'flowM3s must be greater than 0'],
  ['a clogged grate', () => water.grateDepth(0.01, 1, 0), 'openAreaM2 must be greater than 0'],
  ['a grate without rim', () => water.grateWeirFlowM3s(0, 0.1), 'perimeterM must be greater than 0'],
  ['negative depth', () => water.grateOrificeFlowM3s(0.1, -1), 'depthM must be between 0 and 3 m'],
]

test.each(BAD_CALLS)('%s is refused with the argument and its range', (_name, call, message) => {
  expect(call).toThrow(RangeError)
  expect(call).toThrow(message)
})
