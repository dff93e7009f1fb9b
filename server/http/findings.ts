/** `GET /api/houses/:id/findings`: what the record of a house carries; `:id` is the house's key. */

import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { HouseFindings } from '../study/houseFindings.ts'
import { wordedFinding } from '../study/wording.ts'
import { CREW_AT_HOUSE } from './access.ts'
import { ErrorSchema } from './contract/error.ts'
import { FindingsQuery, HouseFindingsSchema, HouseKeyParams } from './contract/findings.ts'
import { ServiceError } from './errors.ts'

export interface FindingsDeps {
  findings: (houseKey: string) => Promise<HouseFindings | undefined>
}

export const findingsRoutes =
  (deps: FindingsDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get(
      '/api/houses/:id/findings',
      {
        config: { access: CREW_AT_HOUSE },
        schema: {
          params: HouseKeyParams,
          querystring: FindingsQuery,
          response: { 200: HouseFindingsSchema, '4xx': ErrorSchema, '5xx': ErrorSchema },
        },
      },
      async ({ params: { id }, query: { units } }) => {
        const found = await deps.findings(id)
        if (found === undefined) {
          throw new ServiceError(
            'UNKNOWN_HOUSE',
            `There is no house "${id}".`,
            'Use the key of the house, such as maple-hollow; `underjoist houses` lists them.',
            'params/id',
          )
        }
        const { key, name, invented = false, timeZone } = found.house
        const findings = found.findings.map((finding) =>
          units === undefined ? finding : { ...finding, worded: wordedFinding(finding, units) },
        )
        return { house: { key, name, invented, timeZone }, findings }
      },
    )
  }
