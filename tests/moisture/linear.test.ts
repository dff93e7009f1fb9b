import { expect, test } from 'vitest'
import {
  cholesky,
  inverseDiagonal,
  logDeterminant,
  normalEquations,
  solveCholesky,
  solveUpper,
} from '../../server/moisture/linear.ts'
import { meanAndSd } from '../../server/moisture/numbers.ts'
import { normalSource } from '../../server/moisture/random.ts'

// 4 2 1 / 2 5 3 / 1 3 6: determinant 67, inverse diagonal 21/67, 23/67, 16/67 (worked by hand).
const MATRIX = Float64Array.from([4, 2, 1, 2, 5, 3, 1, 3, 6])

test('a worked 3 by 3 system', () => {
  const lower = cholesky(MATRIX, 3)!
  expect(Math.exp(logDeterminant(lower, 3))).toBeCloseTo(67, 9)
  expect([...inverseDiagonal(lower, 3)].map((v) => v * 67)).toEqual([21, 23, 16].map((v) => expect.closeTo(v, 9)))
  const x = solveCholesky(lower, Float64Array.from([7, 10, 10]))
  expect([...x]).toEqual([1, 1, 1].map((v) => expect.closeTo(v, 9)))
})

test('a matrix that is not positive definite has no factor', () => {
  expect(cholesky(Float64Array.from([1, 2, 2, 1]), 2)).toBeNull()
})

test('draws have the covariance of the inverse', () => {
  const lower = cholesky(MATRIX, 3)!
  const normal = normalSource(3)
  const first = Array.from(
    { length: 20_000 },
    () => solveUpper(lower, Float64Array.from([normal(), normal(), normal()]))[0]!,
  )
  const { mean, sd } = meanAndSd(first)
  expect(Math.abs(mean)).toBeLessThan(0.015)
  expect(Math.abs(sd - Math.sqrt(21 / 67))).toBeLessThan(0.01)
})

test('normal equations of two columns', () => {
  const { matrix, gradient } = normalEquations(
    [Float64Array.from([1, 1, 1]), Float64Array.from([0, 1, 2])],
    Float64Array.from([1, 2, 3]),
  )
  expect([...matrix]).toEqual([3, 3, 3, 5])
  expect([...gradient]).toEqual([6, 8])
})
