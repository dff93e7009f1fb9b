/** `GET /api/houses/:id/page` and the days of its effects: what the page of a house says and draws. */

import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { HouseViews } from '../study/view/houseViews.ts'
import { CREW_AT_HOUSE } from './access.ts'
import { EffectSeriesListSchema } from './contract/effectSeries.ts'
import { ERRORS } from './contract/error.ts'
import { HouseKeyParams } from './contract/findings.ts'
import { HousePageSchema } from './contract/page.ts'
import { UnitsQuery } from './contract/shapes.ts'
import { unknownHouse } from './unknownHouse.ts'

/** Ask again in a moment. */
const BeingMade = Type.Object({ state: Type.Literal('being made') })

export const housePageRoutes =
  ({ views }: { views: Pick<HouseViews, 'page' | 'effects'> }): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get(
      '/api/houses/:id/page',
      {
        config: { access: CREW_AT_HOUSE },
        schema: {
          params: HouseKeyParams,
          querystring: UnitsQuery,
          response: { 200: HousePageSchema, 202: BeingMade, ...ERRORS },
        },
      },
      async ({ params: { id }, query: { units = 'us' } }, reply) => {
        const page = await views.page(id, units)
        if (page === undefined) throw unknownHouse(id)
        return page === 'being made' ? reply.status(202).send({ state: page }) : reply.status(200).send(page)
      },
    )

    app.get(
      '/api/houses/:id/balance/effects',
      {
        config: { access: CREW_AT_HOUSE },
        schema: { params: HouseKeyParams, response: { 200: EffectSeriesListSchema, ...ERRORS } },
      },
      async ({ params: { id } }) => {
        const effects = await views.effects(id)
        if (effects === undefined) throw unknownHouse(id)
        return { effects }
      },
    )
  }
