/** `GET /api/imports/:id` and its receipt as a file. */
import { Readable } from 'node:stream'
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { ImportRow } from '../store/imports.ts'
import { ErrorSchema, IdParams } from './contract/error.ts'
import { ImportSchema } from './contract/imports.ts'
import { ServiceError } from './errors.ts'

export interface ImportsDeps {
  find(id: number): Promise<ImportRow | null>
  receiptCsv(id: number): AsyncIterable<string>
}

export const importsRoutes =
  (deps: { imports: ImportsDeps }): FastifyPluginAsyncTypebox =>
  async (app) => {
    async function mustFind(id: string): Promise<ImportRow> {
      const found = await deps.imports.find(Number(id))
      if (found !== null) return found
      throw new ServiceError('UNKNOWN_IMPORT', `There is no import ${id}.`, 'Look at the list of imports.', 'params/id')
    }

    app.get(
      '/api/imports/:id',
      { schema: { params: IdParams, response: { 200: ImportSchema, '4xx': ErrorSchema, '5xx': ErrorSchema } } },
      ({ params }) => mustFind(params.id),
    )

    app.get('/api/imports/:id/receipt.csv', { schema: { params: IdParams } }, async ({ params }, reply) => {
      const { id } = await mustFind(params.id)
      reply.header('content-disposition', `attachment; filename="receipt-${id}.csv"`)
      return reply.type('text/csv; charset=utf-8').send(Readable.from(deps.imports.receiptCsv(id)))
    })
  }
