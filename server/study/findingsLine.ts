/** Findings made in the background, house after house: two hundred houses asked for at once must not start as many workers. */

export interface FindingsLine {
  /** Puts a house into the line unless it stands there already. */
  ask(houseKey: string): void
  /** Nobody behind the house at hand is served any more; settles when that one is done. */
  end(): Promise<void>
}

/**
 * @param make gives what is kept, or makes it
 * @param onTrouble told what went wrong; the line goes on with the next house
 */
export function createFindingsLine(
  make: (houseKey: string) => Promise<unknown>,
  onTrouble: (houseKey: string, error: unknown) => void,
): FindingsLine {
  const waiting = new Set<string>()
  let running: Promise<void> | undefined
  let ended = false

  async function run(): Promise<void> {
    for (const key of waiting) {
      if (ended) return
      try {
        await make(key)
      } catch (error) {
        onTrouble(key, error)
      }
      waiting.delete(key)
    }
    running = undefined
  }

  return {
    ask(houseKey) {
      if (ended) return
      waiting.add(houseKey)
      running ??= run()
    },
    async end() {
      ended = true
      await running
    },
  }
}
