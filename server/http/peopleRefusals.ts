/** What the people's desk turns somebody away with, as answers. For routes that ask the desk. */
import type { FastifyInstance } from 'fastify'
import { PeopleError } from '../people/types.ts'
import { ServiceError } from './errors.ts'

/** Nothing that these routes answer is kept by a browser or a proxy. */
export function answerForPeople(app: FastifyInstance): void {
  app.addHook('onRequest', async (_, reply) => void reply.header('cache-control', 'no-store'))
  app.setErrorHandler((error, { body }, reply) => {
    if (!(error instanceof PeopleError)) throw error
    const { code, message, hint, where, retryAfterS } = error
    if (retryAfterS !== null) reply.header('retry-after', String(Math.ceil(retryAfterS)))
    throw new ServiceError(code, message, hint, where === null || body === undefined ? null : `body/${where}`)
  })
}
