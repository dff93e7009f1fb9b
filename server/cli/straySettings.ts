/** Settings that would be silently without effect: misspelled ones, and ones whose partner is missing. */
import { ENVIRONMENT, type Setting } from './environment.ts'
import type { Environment } from './readSetting.ts'

/** What begins like this is meant for us. */
const OURS = /^(?:UNDERJOIST|MQTT|BACKUP|SMTP|LETTERS?|PUBLIC|TRUST)_/
/** A letter or two that are wrong, missing or swapped. */
const NEAR = 2

export function strayWarnings(env: Environment): string[] {
  const names = Object.keys(ENVIRONMENT)
  const unknown = Object.keys(env)
    .filter((name) => OURS.test(name) && env[name] && !names.includes(name))
    .map((name) => {
      const near = names.map((known) => ({ known, far: lettersApart(name, known) })).sort((a, b) => a.far - b.far)[0]!
      const guess = near.far <= NEAR ? ` Is ${near.known} meant?` : ''
      return `${name} is no setting of Underjoist and does nothing.${guess}`
    })
  const alone = Object.entries<Setting<unknown>>(ENVIRONMENT)
    .filter(([name, { goesWith }]) => env[name] && goesWith !== undefined && !env[goesWith])
    .map(([name, { goesWith }]) => `${name} does nothing without ${goesWith}.`)
  return [...unknown, ...alone]
}

/** Letters to change, add or leave out to make one word of the other. */
function lettersApart(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, i) => i)
  for (let i = 1; i <= a.length; i++) {
    const next = [i]
    for (let j = 1; j <= b.length; j++) {
      const swap = row[j - 1]! + (a[i - 1] === b[j - 1] ? 0 : 1)
      next.push(Math.min(swap, row[j]! + 1, next[j - 1]! + 1))
    }
    row = next
  }
  return row[b.length]!
}
