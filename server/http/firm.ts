/** `/api/firm`: what owners and letters name as the one to call. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { CONTRACTOR } from './access.ts'
import { ERRORS } from './contract/error.ts'
import { type FirmAnswer, FirmBody, type FirmGiven, FirmSchema } from './contract/firm.ts'

export interface FirmDeps {
  firm: { read(): Promise<FirmAnswer>; store(firm: FirmGiven): Promise<void> }
}

export const firmRoutes =
  ({ firm }: FirmDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    const config = { access: CONTRACTOR }

    app.get('/api/firm', { config, schema: { response: { 200: FirmSchema, ...ERRORS } } }, () => firm.read())

    app.put(
      '/api/firm',
      { config, schema: { body: FirmBody, response: { 200: FirmSchema, ...ERRORS } } },
      async ({ body }) => {
        await firm.store(body)
        return firm.read()
      },
    )
  }
