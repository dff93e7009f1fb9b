/** What is wrong with what was entered, by the path of its field. */
export interface Faults {
  /** What is wrong at a path; undefined when nothing is. */
  at(path: string): string | undefined
  /** Whether anything is wrong at a path or below it. */
  below(path: string): boolean
}

export const noFaults: Faults = { at: () => undefined, below: () => false }

export function faultsOf(problems: readonly { path: string; problem: string }[]): Faults {
  return {
    at: (path) => problems.find((one) => one.path === path)?.problem,
    below: (path) => problems.some((one) => one.path === path || one.path.startsWith(`${path}/`)),
  }
}
