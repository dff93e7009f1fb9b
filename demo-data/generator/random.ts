/** A stream of seeded random numbers. Every part of a house draws from a stream of its own (see `randomStream`). */
export interface RandomStream {
  /** Even in [0, 1). */
  uniform: () => number
  between: (low: number, high: number) => number
  /** Whole number from low to high, both included. */
  whole: (low: number, high: number) => number
  normal: (mean?: number, standardDeviation?: number) => number
  exponential: (mean: number) => number
  /** Gamma with a whole-number shape: sum of exponentials; good enough for amounts of rain. */
  gamma: (shape: number, mean: number) => number
  chance: (probability: number) => boolean
  pick: <T>(items: readonly T[]) => T
}

/**
 * A stream that depends only on the seed and a name, so that one more sensor fault does not change the weather and a
 * house can be run with and without a work in exactly the same weather.
 *
 * The generator is a 32-bit counter with a mixing function (period 2^32), ample for a simulated house and free of
 * state that a library update could change under the committed files.
 */
export function randomStream(seed: number, name: string): RandomStream {
  let state = hash32(`${seed}:${name}`)
  const uniform = () => {
    state = (state + 0x6d2b79f5) | 0
    let t = Math.imul(state ^ (state >>> 15), 1 | state)
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
  const exponential = (mean: number) => -mean * Math.log(1 - uniform())
  return {
    uniform,
    between: (low, high) => low + (high - low) * uniform(),
    whole: (low, high) => low + Math.floor((high - low + 1) * uniform()),
    normal: (mean = 0, standardDeviation = 1) =>
      mean + standardDeviation * Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform()),
    exponential,
    gamma: (shape, mean) => {
      let sum = 0
      for (let i = 0; i < shape; i++) sum += exponential(mean / shape)
      return sum
    },
    chance: (probability) => uniform() < probability,
    pick: (items) => {
      const item = items[Math.floor(uniform() * items.length)]
      if (item === undefined) throw new RangeError('There is nothing to pick from: the list is empty.')
      return item
    },
  }
}

/** FNV-1a over the characters, then one avalanche round so that near seeds start far apart. */
function hash32(text: string): number {
  let h = 0x811c9dc5
  for (let i = 0; i < text.length; i++) h = Math.imul(h ^ text.charCodeAt(i), 0x01000193)
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b)
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35)
  return h ^ (h >>> 16)
}
