/** Slows down whoever guesses passwords, codes and links. */
import { type Allowance, createCounts } from './counts.ts'
import { PeopleError } from './types.ts'

/**
 * Proposals. An account is slowed down, never shut: a guesser gets some 300 tries a day at one account, and whoever is
 * signed in at an address already is counted apart there, so that no stranger keeps them out.
 */
export const SIGN_INS_FROM: Allowance = { kind: 'attempts to sign in from your address', atOnce: 30, perMinute: 6 }
export const SIGN_INS_TO: Allowance = { kind: 'attempts to sign in to this account', atOnce: 10, perMinute: 0.2 }
export const OLD_PASSWORDS: Allowance = { kind: 'attempts to change this password', atOnce: 10, perMinute: 0.2 }
export const FIRST_CODES: Allowance = { kind: 'attempts with a first code', atOnce: 10, perMinute: 1 }
export const CODES_FROM: Allowance = { kind: 'codes from your address', atOnce: 20, perMinute: 2 }
export const LINKS_FROM: Allowance = { kind: 'links from your address', atOnce: 60, perMinute: 6 }
export const FORGOTTEN_FROM: Allowance = {
  kind: 'requests for a new password from your address',
  atOnce: 10,
  perMinute: 1,
}
/** Beyond it no further letter goes out, and nobody is told: three an hour. */
export const FORGOTTEN_LETTERS: Allowance = { kind: 'letters about a forgotten password', atOnce: 3, perMinute: 0.05 }

export interface Throttle {
  /** @throws PeopleError TOO_MANY */
  take(who: string, allowance: Allowance): void
  /** @returns false where `take` would throw */
  mayTake(who: string, allowance: Allowance): boolean
  giveBack(who: string, allowance: Allowance): void
}

/** @param steadyMs milliseconds that only grow */
export function createThrottle(steadyMs: () => number): Throttle {
  // Each kind by itself: whoever comes from many addresses, or tries many names, pushes none of another kind out.
  const kinds = new Map<string, ReturnType<typeof createCounts>>()
  const countsOf = ({ kind }: Allowance) => {
    const counts = kinds.get(kind) ?? createCounts(steadyMs)
    kinds.set(kind, counts)
    return counts
  }
  return {
    take(who, allowance) {
      const waitS = countsOf(allowance).take(who, allowance)
      if (waitS > 0) throw tooMany(allowance, waitS)
    },
    mayTake: (who, allowance) => countsOf(allowance).take(who, allowance) === 0,
    giveBack: (who, allowance) => countsOf(allowance).giveBack(who, allowance),
  }
}

const tooMany = ({ kind }: Allowance, waitS: number) =>
  new PeopleError('TOO_MANY', `There were too many ${kind}.`, `Try again in ${inWords(waitS)}.`, {
    retryAfterS: waitS,
  })

const inWords = (s: number): string =>
  s === 1 ? 'a second' : s < 120 ? `${s} seconds` : `${Math.ceil(s / 60)} minutes`

/** Where somebody comes from, as far as it says who: a subscriber has a whole /64 of IPv6 addresses. */
export function networkOf(address: string): string {
  const plain = address.replace(/^::ffff:(?=\d+\.\d+\.\d+\.\d+$)/i, '')
  if (!plain.includes(':')) return plain
  const [head = '', tail] = (plain.split('%')[0] ?? '').toLowerCase().split('::')
  const groups = head === '' ? [] : head.split(':')
  const after = tail === undefined || tail === '' ? [] : tail.split(':')
  const zeros = tail === undefined ? 0 : Math.max(0, 8 - groups.length - after.length)
  const all = [...groups, ...Array<string>(zeros).fill('0'), ...after]
  return `${all
    .slice(0, 4)
    .map((group) => group.replace(/^0+(?=.)/, ''))
    .join(':')}::/64`
}
