/** `GET /healthz`: whether the service can do its work, for whoever watches over the machine. */
import { type FastifyPluginAsyncTypebox, Type } from '@fastify/type-provider-typebox'
import { ErrorSchema } from './contract/error.ts'
import { ServiceError } from './errors.ts'

export const healthRoutes =
  (deps: { health: () => Promise<string[]> }): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get(
      '/healthz',
      { schema: { response: { 200: Type.Object({ status: Type.Literal('ok') }), '5xx': ErrorSchema } } },
      async () => {
        const problems = await deps.health()
        if (problems.length === 0) return { status: 'ok' as const }
        throw new ServiceError('NOT_READY', problems.join(' '), 'Look at the log of the program.')
      },
    )
  }
