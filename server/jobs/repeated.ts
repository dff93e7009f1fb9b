/** Something done again and again while the service runs, never twice at once. */

export interface Repeated {
  /** Does it for the first time soon, then after each span. */
  start(): void
  /** Resolves when the one under way has ended. */
  stop(): Promise<void>
}

/**
 * @param everyMs from the end of one to the begin of the next
 * @param firstMs until the first, so that the service is up and answering before
 */
export function createRepeated(
  work: () => Promise<void>,
  { everyMs, firstMs, onUnexpected }: { everyMs: number; firstMs: number; onUnexpected(error: unknown): void },
): Repeated {
  let timer: NodeJS.Timeout | undefined
  let underWay: Promise<void> = Promise.resolve()
  let stopped = false

  function again(waitMs: number): void {
    timer = setTimeout(() => {
      underWay = work()
        .catch(onUnexpected)
        .then(() => {
          if (!stopped) again(everyMs)
        })
    }, waitMs)
    timer.unref()
  }

  return {
    start: () => again(firstMs),
    async stop() {
      stopped = true
      clearTimeout(timer)
      await underWay
    },
  }
}
