/** `POST /api/sizing`: loads and drains for a house without readings. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { sizeDrain } from '../sizing/drains.ts'
import { plainSizing } from '../study/plainSizing.ts'
import { ErrorSchema } from './contract/error.ts'
import { SizingBody, SizingSchema } from './contract/sizing.ts'

export const sizingRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.post(
    '/api/sizing',
    { schema: { body: SizingBody, response: { 200: SizingSchema, '4xx': ErrorSchema, '5xx': ErrorSchema } } },
    async ({ body: { dehumidifier, drain } }) => ({
      dehumidifier: dehumidifier ? plainSizing(dehumidifier) : null,
      drain: drain ? sizeDrain(drain) : null,
    }),
  )
}
