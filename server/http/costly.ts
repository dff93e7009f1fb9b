/** Requests that cost much are counted by the address they come from: so many at once, then so many a minute. */
import type { FastifyInstance } from 'fastify'
import type { Allowance, Counts } from '../people/counts.ts'
import { ServiceError } from './errors.ts'

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
