/** Imports: how far one is, what became of its lines, and taking it back. */

import { Readable } from 'node:stream'
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { FileDesk } from '../ingest/fileDesk.ts'
import type { ImportLine, ImportRow } from '../store/imports.ts'
import { CREW_AT_HOUSE, CREW_AT_IMPORT } from './access.ts'
import { nameOf } from './caller.ts'
import { CanceledSchema } from './contract/balance.ts'
import { ERRORS, IdParams } from './contract/error.ts'
import { ImportLinesSchema, ImportProgressSchema, ImportsSchema, UndoneSchema } from './contract/files.ts'
import { HouseKeyParams } from './contract/findings.ts'
import { ImportSchema } from './contract/imports.ts'
import { ServiceError } from './errors.ts'
import { unknownHouse } from './unknownHouse.ts'

export interface ImportsDeps {
  find(id: number): Promise<ImportRow | null>
  receiptCsv(id: number): AsyncIterable<string>
  /** The first of the lines that were refused or differ. */
  lines(id: number, most: number): Promise<ImportLine[]>
}

const MOST_LINES = 200

export const importsRoutes =
  ({ imports, files }: { imports: ImportsDeps; files?: FileDesk }): FastifyPluginAsyncTypebox =>
  async (app) => {
    const unknown = (id: string) =>
      new ServiceError('UNKNOWN_IMPORT', `There is no import ${id}.`, 'Look at the list of imports.', 'params/id')

    async function mustFind(id: string): Promise<ImportRow> {
      const found = await imports.find(Number(id))
      if (found !== null) return found
      throw unknown(id)
    }

    app.get(
      '/api/imports/:id',
      { config: { access: CREW_AT_IMPORT }, schema: { params: IdParams, response: { 200: ImportSchema, ...ERRORS } } },
      ({ params }) => mustFind(params.id),
    )

    app.get(
      '/api/imports/:id/receipt.csv',
      { config: { access: CREW_AT_IMPORT }, schema: { params: IdParams } },
      async ({ params }, reply) => {
        const { id } = await mustFind(params.id)
        reply.header('content-disposition', `attachment; filename="receipt-${id}.csv"`)
        return reply.type('text/csv; charset=utf-8').send(Readable.from(imports.receiptCsv(id)))
      },
    )

    app.get(
      '/api/imports/:id/lines',
      {
        config: { access: CREW_AT_IMPORT },
        schema: { params: IdParams, response: { 200: ImportLinesSchema, ...ERRORS } },
      },
      async ({ params }) => {
        const { id, refused, differs } = await mustFind(params.id)
        return { total: refused + differs, lines: await imports.lines(id, MOST_LINES) }
      },
    )

    if (!files) return

    app.get(
      '/api/imports/:id/progress',
      {
        config: { access: CREW_AT_IMPORT },
        schema: { params: IdParams, response: { 200: ImportProgressSchema, ...ERRORS } },
      },
      async ({ params: { id } }) => {
        const found = await files.progress(Number(id))
        if (found === undefined) throw unknown(id)
        const { row, job } = found
        const ended = row.state === 'storing' ? ('running' as const) : ('done' as const)
        return {
          import: row,
          done: job?.total ? Math.min(1, job.done / job.total) : row.state === 'storing' ? 0 : 1,
          message: job?.message ?? row.note ?? '',
          state: job?.state ?? ended,
        }
      },
    )

    app.get(
      '/api/houses/:id/imports',
      {
        config: { access: CREW_AT_HOUSE },
        schema: { params: HouseKeyParams, response: { 200: ImportsSchema, ...ERRORS } },
      },
      async ({ params: { id } }) => {
        const rows = await files.imports(id)
        if (rows === undefined) throw unknownHouse(id)
        return {
          imports: rows.map((row) => ({
            ...row,
            canUndo: (row.state === 'stored' || row.state === 'canceled') && row.stored > 0,
            undoneAt: row.state === 'undone' ? row.finishedAt : null,
            why: row.note,
          })),
        }
      },
    )

    app.post(
      '/api/imports/:id/undo',
      { config: { access: CREW_AT_IMPORT }, schema: { params: IdParams, response: { 200: UndoneSchema, ...ERRORS } } },
      async (request) => {
        const { id } = request.params
        const undone = await files.undo(Number(id), nameOf(request))
        if (undone === undefined) throw unknown(id)
        if ('why' in undone) throw new ServiceError('CANNOT_UNDO', undone.why, 'Load the list of imports again.')
        return undone
      },
    )

    app.post(
      '/api/imports/:id/cancel',
      {
        config: { access: CREW_AT_IMPORT },
        schema: { params: IdParams, response: { 200: CanceledSchema, ...ERRORS } },
      },
      async ({ params: { id } }) => ({ canceled: await files.cancel(Number(id)) }),
    )
  }
