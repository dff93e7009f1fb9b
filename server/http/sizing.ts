/** `POST /api/sizing`: loads and drains for a house without readings. */

import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { sizeDrain } from '../sizing/drains.ts'
import { plainSizing } from '../study/plainSizing.ts'
import { CREW_IN_REACH } from './access.ts'
import { ErrorSchema } from './contract/error.ts'
import { SizingBody, SizingSchema } from './contract/sizing.ts'
import { ServiceError } from './errors.ts'

export const sizingRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.post(
    '/api/sizing',
    {
      config: { access: CREW_IN_REACH },
      schema: { body: SizingBody, response: { 200: SizingSchema, '4xx': ErrorSchema, '5xx': ErrorSchema } },
    },
    async ({ body: { dehumidifier, drain } }) => ({
      dehumidifier: dehumidifier ? within('body/dehumidifier', () => plainSizing(dehumidifier)) : null,
      drain: drain ? within('body/drain', () => sizeDrain(drain)) : null,
    }),
  )
}

/** Each figure may be in its bounds and two together beyond what the formula holds for, such as a fall longer than its run. */
function within<T>(where: string, work: () => T): T {
  try {
    return work()
  } catch (error) {
    if (!(error instanceof RangeError)) throw error
    throw new ServiceError(
      'BAD_REQUEST',
      error.message,
      'Check the figures that belong together, then send again.',
      where,
    )
  }
}
