/** `GET /api/round`: every house under care. */

import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { Round } from '../study/round.ts'
import type { Units } from '../study/wording.ts'
import { CREW_IN_REACH } from './access.ts'
import { callerOf, reaches } from './caller.ts'
import { ErrorSchema } from './contract/error.ts'
import { RoundSchema } from './contract/round.ts'
import { UnitsQuery } from './contract/shapes.ts'

export interface RoundDeps {
  /** Of the houses within reach. */
  round: (units: Units, reaches: (houseKey: string) => boolean) => Promise<{ asOf: number } & Round>
}

export const roundRoutes =
  (deps: RoundDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get(
      '/api/round',
      {
        config: { access: CREW_IN_REACH },
        schema: { querystring: UnitsQuery, response: { 200: RoundSchema, '4xx': ErrorSchema, '5xx': ErrorSchema } },
      },
      async (request) => {
        const caller = callerOf(request)
        return deps.round(request.query.units ?? 'us', (key) => reaches(caller, key))
      },
    )
  }
