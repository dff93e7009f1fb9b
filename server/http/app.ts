/** Builds the HTTP service without listening: `main.ts` and tests get the same one. */
import type { TypeBoxTypeProvider } from '@fastify/type-provider-typebox'
import Fastify, { type FastifyInstance, type FastifyServerOptions } from 'fastify'
import type { Intake } from '../ingest/intake.ts'
import type { Balances } from '../study/balance/balanceJob.ts'
import { balanceRoutes } from './balance.ts'
import { CODES, ServiceError, toAnswer, toServiceError } from './errors.ts'
import { type FindingsDeps, findingsRoutes } from './findings.ts'
import { healthRoutes } from './health.ts'
import { type ImportsDeps, importsRoutes } from './imports.ts'
import { isLoopback } from './loopback.ts'
import { readingsRoutes } from './readings.ts'

export interface AppDeps extends FindingsDeps {
  intake: Pick<Intake, 'receive'>
  imports: ImportsDeps
  /** Left out where no queue runs: its addresses are then not there. */
  balances?: Balances
  /** What keeps the service from doing its work, in sentences; empty when nothing does. */
  health: () => Promise<string[]>
  logger?: FastifyServerOptions['logger']
}

export async function buildApp(deps: AppDeps): Promise<FastifyInstance> {
  const app = Fastify({
    logger: deps.logger ?? false,
    // Fastify would turn null into 0 and drop fields it does not know: a reading must be as it was sent, or be refused.
    ajv: { customOptions: { coerceTypes: false, removeAdditional: false } },
  }).withTypeProvider<TypeBoxTypeProvider>()

  app.removeContentTypeParser('text/plain') // JSON alone is taken; a form of another page can only send text

  // There is no sign-in yet. A page elsewhere could point its own host name at this machine; its requests name that host.
  app.addHook('onRequest', async (request) => {
    if (isLoopback(request.hostname)) return
    throw new ServiceError(
      'WRONG_HOST',
      `This service answers on this machine only, and was asked for as "${request.hostname}".`,
      'Open it as http://127.0.0.1 with its port.',
      'header host',
    )
  })
  app.setErrorHandler((error, request, reply) => {
    let known = toServiceError(error)
    if (known === null) {
      request.log.error(error)
      known = new ServiceError('UNEXPECTED', 'Something went wrong in the program.', 'Try again; its log says more.')
    }
    return reply.status(CODES[known.code].status).send(toAnswer(known))
  })
  app.setNotFoundHandler((request, reply) =>
    reply
      .status(CODES.NOT_FOUND.status)
      .send(
        toAnswer(
          new ServiceError('NOT_FOUND', `There is nothing at ${request.method} ${request.url}.`, 'Check the address.'),
        ),
      ),
  )
  await app.register(healthRoutes(deps))
  await app.register(readingsRoutes(deps))
  await app.register(importsRoutes(deps))
  if (deps.balances) await app.register(balanceRoutes({ balances: deps.balances }))
  await app.register(findingsRoutes(deps))
  return app as unknown as FastifyInstance
}
