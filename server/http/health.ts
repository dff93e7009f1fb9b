/** `GET /healthz` and `/readyz`: for whoever watches over the machine. */
import { type FastifyPluginAsyncTypebox, Type } from '@fastify/type-provider-typebox'
import { ErrorSchema } from './contract/error.ts'
import { ServiceError } from './errors.ts'

const OK = { schema: { response: { 200: Type.Object({ status: Type.Literal('ok') }), '5xx': ErrorSchema } } }

export interface HealthDeps {
  /** What keeps the service from doing its work; empty when nothing does. */
  health: () => Promise<string[]>
  /** What keeps it from taking readings, a broker that is not reached among it. */
  readiness?: () => Promise<string[]>
}

export const healthRoutes =
  ({ health, readiness = health }: HealthDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    const answering = (troubles: () => Promise<string[]>) => async () => {
      const problems = await troubles()
      if (problems.length === 0) return { status: 'ok' as const }
      throw new ServiceError('NOT_READY', problems.join(' '), 'Look at the log of the program.')
    }
    // The service lives while its database takes readings; a broker that is away must not make a watcher restart it.
    app.get('/healthz', OK, answering(health))
    app.get('/readyz', OK, answering(readiness))
  }
