/** Small dense symmetric systems, stored row by row. */

/**
 * Lower Cholesky factor of a symmetric matrix.
 *
 * @returns null when the matrix is not positive definite
 */
export function cholesky(matrix: Float64Array, n: number): Float64Array | null {
  const lower = new Float64Array(n * n)
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i * n + j]!
      for (let k = 0; k < j; k++) sum -= lower[i * n + k]! * lower[j * n + k]!
      if (i === j) {
        if (!(sum > 0)) return null
        lower[i * n + i] = Math.sqrt(sum)
      } else lower[i * n + j] = sum / lower[j * n + j]!
    }
  }
  return lower
}

/** Solves (L L') x = b. */
export function solveCholesky(lower: Float64Array, b: Float64Array): Float64Array {
  const n = b.length
  const x = Float64Array.from(b)
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < i; k++) x[i]! -= lower[i * n + k]! * x[k]!
    x[i]! /= lower[i * n + i]!
  }
  return solveUpper(lower, x)
}

/** Solves L' x = b: with b standard normal, x has the covariance (L L')^-1. */
export function solveUpper(lower: Float64Array, b: Float64Array): Float64Array {
  const n = b.length
  const x = Float64Array.from(b)
  for (let i = n - 1; i >= 0; i--) {
    for (let k = i + 1; k < n; k++) x[i]! -= lower[k * n + i]! * x[k]!
    x[i]! /= lower[i * n + i]!
  }
  return x
}

/** Diagonal of the inverse of L L'. */
export function inverseDiagonal(lower: Float64Array, n: number): Float64Array {
  return Float64Array.from({ length: n }, (_, i) => {
    const unit = new Float64Array(n)
    unit[i] = 1
    return solveCholesky(lower, unit)[i]!
  })
}

export function logDeterminant(lower: Float64Array, n: number): number {
  let sum = 0
  for (let i = 0; i < n; i++) sum += 2 * Math.log(lower[i * n + i]!)
  return sum
}

/** Normal equations J'J and J'r of columns of equal length. */
export function normalEquations(columns: readonly Float64Array[], residual: Float64Array) {
  const n = columns.length
  const matrix = new Float64Array(n * n)
  const gradient = new Float64Array(n)
  for (let i = 0; i < n; i++) {
    const a = columns[i]!
    for (let j = 0; j <= i; j++) {
      const dot = dotProduct(a, columns[j]!)
      matrix[i * n + j] = dot
      matrix[j * n + i] = dot
    }
    gradient[i] = dotProduct(a, residual)
  }
  return { matrix, gradient }
}

export function dotProduct(a: Float64Array, b: Float64Array): number {
  let sum = 0
  for (let k = 0; k < a.length; k++) sum += a[k]! * b[k]!
  return sum
}
