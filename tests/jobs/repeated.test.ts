import { expect, test, vi } from 'vitest'
import { createRepeated } from '../../server/jobs/repeated.ts'

test('the next begins a span after the last has ended, a failure stops nothing, and stop waits for the one under way', async () => {
  vi.useFakeTimers()
  try {
    let running = 0
    let most = 0
    let count = 0
    const unexpected: unknown[] = []
    let release = () => {}
    const repeated = createRepeated(
      async () => {
        count++
        most = Math.max(most, ++running)
        if (count === 2) {
          running--
          throw new Error('once')
        }
        await new Promise<void>((resolve) => (release = resolve))
        running--
      },
      { everyMs: 1000, firstMs: 10, onUnexpected: (error) => unexpected.push(error) },
    )
    repeated.start()
    await vi.advanceTimersByTimeAsync(5000)
    expect({ count, running }).toEqual({ count: 1, running: 1 })
    release()
    await vi.advanceTimersByTimeAsync(2000)
    expect({ count, most }).toEqual({ count: 3, most: 1 })
    expect(unexpected).toHaveLength(1)
    let stopped = false
    const stopping = repeated.stop().then(() => {
      stopped = true
    })
    await vi.advanceTimersByTimeAsync(10)
    expect(stopped).toBe(false)
    release()
    await stopping
    await vi.advanceTimersByTimeAsync(10_000)
    expect(count).toBe(3)
  } finally {
    vi.useRealTimers()
  }
})
