import { describe, expect, it } from 'vitest'
import { type Arrived, hasArrived, NONE_ARRIVED, stillMissing, withArrival } from '../../server/store/sequence.ts'
import { seeded } from '../support/seeded.ts'

const arrivedOf = (numbers: number[], oldest: number | null = null): Arrived =>
  numbers.reduce((arrived, number) => withArrival(arrived, number, oldest), NONE_ARRIVED)

describe('numbered messages', () => {
  it('count up', () => {
    expect(arrivedOf([1, 2, 3])).toEqual({ through: 3, beyond: [], missed: 0 })
  })

  it('leave a hole, which the receipt shows and a late one closes', () => {
    const holed = arrivedOf([1, 2, 4, 5, 7])
    expect(holed).toEqual({
      through: 2,
      beyond: [
        [4, 5],
        [7, 7],
      ],
      missed: 0,
    })
    expect(stillMissing(holed)).toBe(2)
    expect(withArrival(holed, 3, null)).toEqual({ through: 5, beyond: [[7, 7]], missed: 0 })
  })

  it('come in any order and twice', () => {
    const next = seeded(4)
    for (let round = 0; round < 200; round++) {
      const numbers = Array.from({ length: 40 }, (_, i) => i + 1).sort(() => next() - 0.5)
      const part = numbers.slice(0, Math.floor(next() * 40) + 1)
      const twice = [...part, ...part.slice(0, 5)]
      const arrived = arrivedOf(twice)
      for (const number of numbers) expect(hasArrived(arrived, number)).toBe(part.includes(number))
      expect(arrived.missed).toBe(0)
    }
  })

  it('are given up below the oldest that the logger keeps, and those alone are counted as missed', () => {
    const holed = arrivedOf([1, 2, 4, 8])
    expect(withArrival(holed, 9, 7)).toEqual({ through: 6, beyond: [[8, 9]], missed: 3 }) // 3, 5, 6
    expect(withArrival(holed, 9, 8)).toEqual({ through: 9, beyond: [], missed: 4 })
  })

  it('begin in the middle where the logger was used elsewhere before', () => {
    expect(withArrival(NONE_ARRIVED, 41, 41)).toEqual({ through: 41, beyond: [], missed: 40 })
    expect(withArrival(NONE_ARRIVED, 41, null)).toEqual({ through: 0, beyond: [[41, 41]], missed: 0 })
  })

  it('never take back what was acknowledged', () => {
    const arrived = arrivedOf([1, 2, 3, 4])
    expect(withArrival(arrived, 2, 1)).toEqual(arrived)
    expect(withArrival(arrived, 2, 2)).toEqual(arrived)
  })

  it('keep a list of bounded length for a logger that never says what it keeps', () => {
    const odd = Array.from({ length: 500 }, (_, i) => 2 * i + 1)
    const arrived = arrivedOf(odd)
    expect(arrived.beyond.length).toBeLessThanOrEqual(64)
    expect(arrived.beyond.at(-1)).toEqual([999, 999])
    expect(arrived.missed + stillMissing(arrived)).toBe(499)
  })
})
