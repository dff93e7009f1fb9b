/** `GET /api/round`: every house under care. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { RoundHouse } from '../study/round.ts'
import type { Units } from '../study/wording.ts'
import { ErrorSchema } from './contract/error.ts'
import { RoundSchema } from './contract/round.ts'
import { UnitsQuery } from './contract/shapes.ts'

export interface RoundDeps {
  round: (units: Units) => Promise<{ asOf: number; houses: RoundHouse[] }>
}

export const roundRoutes =
  (deps: RoundDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get(
      '/api/round',
      { schema: { querystring: UnitsQuery, response: { 200: RoundSchema, '4xx': ErrorSchema, '5xx': ErrorSchema } } },
      ({ query: { units = 'us' } }) => deps.round(units),
    )
  }
