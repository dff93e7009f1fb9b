/** `GET /api/houses/:id/record`: the record in columns for drawing. */

import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { RecordAsked, RecordView } from '../study/view/recordView.ts'
import { AT_HOUSE } from './access.ts'
import { ErrorSchema } from './contract/error.ts'
import { HouseKeyParams } from './contract/findings.ts'
import { RecordQuery, RecordSchema } from './contract/record.ts'
import { ServiceError } from './errors.ts'
import { unknownHouse } from './unknownHouse.ts'

export interface RecordDeps {
  record: (houseKey: string, asked: Omit<RecordAsked, 'risk'>) => Promise<RecordView | undefined>
}

const USUAL_ROWS = 600
const MOST_ROWS = 2000
const LEAST_ROWS = 10

export const recordRoutes =
  (deps: RecordDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get(
      '/api/houses/:id/record',
      {
        config: { access: AT_HOUSE },
        schema: {
          params: HouseKeyParams,
          querystring: RecordQuery,
          response: { 200: RecordSchema, '4xx': ErrorSchema, '5xx': ErrorSchema },
        },
      },
      async ({ params: { id }, query }) => {
        const number = (text: string | undefined) => (text === undefined ? null : Number(text))
        const [from, to] = [number(query.from), number(query.to)]
        if (from !== null && to !== null && to <= from) {
          throw new ServiceError(
            'BAD_SPAN',
            `The span from ${from} to ${to} is empty.`,
            'Send from earlier than to, both in UTC milliseconds.',
            'query/from',
          )
        }
        const rows = Math.min(MOST_ROWS, Math.max(LEAST_ROWS, number(query.rows) ?? USUAL_ROWS))
        const view = await deps.record(id, { show: query.show ?? 'dewPointC', from, to, rows })
        if (view === undefined) throw unknownHouse(id)
        return view
      },
    )
  }
