/** `GET /healthz` and `/readyz`: for whoever watches over the machine. */

import { type FastifyPluginAsyncTypebox, Type } from '@fastify/type-provider-typebox'
import type { FastifyRequest } from 'fastify'
import { ANYONE_LOOKED_AT } from './access.ts'
import { ErrorSchema } from './contract/error.ts'
import { ServiceError } from './errors.ts'

const OK = {
  config: { access: ANYONE_LOOKED_AT },
  schema: { response: { 200: Type.Object({ status: Type.Literal('ok') }), '5xx': ErrorSchema } },
}

export interface HealthDeps {
  /** What keeps the service from doing its work; empty when nothing does. */
  health: () => Promise<string[]>
  /** What keeps it from taking readings, a broker that is not reached among it. */
  readiness?: () => Promise<string[]>
}

export const healthRoutes =
  ({ health, readiness = health }: HealthDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    const answering = (troubles: () => Promise<string[]>) => async (request: FastifyRequest) => {
      const problems = await troubles()
      if (problems.length === 0) return { status: 'ok' as const }
      // Strangers ask too: what is wrong names addresses and paths.
      const known = request.caller === null ? 'Something keeps the service from its work.' : problems.join(' ')
      throw new ServiceError('NOT_READY', known, 'Look at the log of the program.')
    }
    // The service lives while its database takes readings; a broker that is away must not make a watcher restart it.
    app.get('/healthz', OK, answering(health))
    app.get('/readyz', OK, answering(readiness))
  }
