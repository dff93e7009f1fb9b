/** Requests that cost much are counted by the address they come from: so many at once, then so many a minute. */
import type { FastifyInstance } from 'fastify'
import { ServiceError } from './errors.ts'

export interface Allowance {
  /** Each kind is counted for itself. */
  kind: string
  /** So many at once. */
  atOnce: number
  /** And so many a minute after that. */
  perMinute: number
}

/** Several times what one person at the pages comes to. Proposals. */
export const FILES: Allowance = { kind: 'files', atOnce: 120, perMinute: 120 }
export const FITS: Allowance = { kind: 'balances', atOnce: 20, perMinute: 12 }
/** A slider asks while it moves. */
export const WHAT_IFS: Allowance = { kind: 'what-ifs', atOnce: 300, perMinute: 600 }
export const FETCHES: Allowance = { kind: 'fetches', atOnce: 20, perMinute: 12 }

declare module 'fastify' {
  interface FastifyContextConfig {
    /** What the route costs; left out, it is not counted. */
    costs?: Allowance
  }
}

export interface Counts {
  /** @returns 0 when it may go on, else the seconds until it may */
  take(address: string, allowance: Allowance): number
  size(): number
}

/** Beyond it, whoever asked longest ago is forgotten. An entry is about 200 bytes. */
const MOST_KEPT = 10_000
const ROUNDING = 1e-6

/** @param now milliseconds that only grow, whatever the clock on the wall does */
export function createCounts(now: () => number, mostKept = MOST_KEPT): Counts {
  /** What is left to each, as of its last request; the latest at the end. */
  const left = new Map<string, { count: number; at: number }>()
  return {
    take(address, { kind, atOnce, perMinute }) {
      const key = `${kind} ${address}`
      const at = now()
      const before = left.get(key) ?? { count: atOnce, at }
      const count = Math.min(atOnce, before.count + ((at - before.at) / 60_000) * perMinute)
      const goesOn = count >= 1 - ROUNDING
      left.delete(key)
      left.set(key, { count: goesOn ? count - 1 : count, at })
      const [oldest] = left.keys()
      if (left.size > mostKept) left.delete(oldest!)
      return goesOn ? 0 : Math.max(1, Math.ceil(((1 - count) / perMinute) * 60 - ROUNDING))
    },
    size: () => left.size,
  }
}

/** The address is that of the connection: a header that names another is believed by nobody here. */
export function countCostly(app: FastifyInstance, counts: Counts): void {
  app.addHook('onRequest', async (request, reply) => {
    const { costs } = request.routeOptions.config
    const waitS = costs === undefined ? 0 : counts.take(request.ip, costs)
    if (waitS === 0) return
    reply.header('retry-after', String(waitS))
    throw new ServiceError(
      'TOO_MANY',
      `Too many ${costs!.kind} were asked for from ${request.ip}.`,
      `Ask again in ${waitS === 1 ? 'a second' : `${waitS} seconds`}.`,
    )
  })
}
