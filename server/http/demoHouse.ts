/** `POST /api/demo-house`: the invented demo house, for whoever has none of their own yet. */

import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { CONTRACTOR } from './access.ts'
import { DemoHouseSchema } from './contract/demoHouse.ts'
import { ErrorSchema } from './contract/error.ts'
import { FITS } from './costly.ts'

export interface DemoDeps {
  /** `added` is false when it was there already. */
  demoHouse: () => Promise<{ key: string; name: string; added: boolean }>
}

export const demoRoutes =
  ({ demoHouse }: DemoDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.post(
      '/api/demo-house',
      {
        config: { access: CONTRACTOR, costs: FITS },
        schema: { response: { 200: DemoHouseSchema, 201: DemoHouseSchema, '4xx': ErrorSchema, '5xx': ErrorSchema } },
      },
      async (_request, reply) => {
        const { key, name, added } = await demoHouse()
        return reply.status(added ? 201 : 200).send({ key, name })
      },
    )
  }
