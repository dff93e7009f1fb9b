/** `POST /api/probes/:id/readings`: one reading or many of one probe; the answer is the intake's receipt. */

import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { Intake, Receipt } from '../ingest/intake.ts'
import type { Access } from './access.ts'
import { ErrorSchema, IdParams } from './contract/error.ts'
import { ReadingsBody, type ReceiptAnswer, ReceiptSchema } from './contract/readings.ts'

const TO_PROBE: Access = {
  who: ['contractor', 'technician'],
  about: { kind: 'probe', param: 'id' },
  takesReadings: true,
}
const BODY_BYTES = 4 * 1024 * 1024

export const readingsRoutes =
  (deps: { intake: Pick<Intake, 'receive'> }): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.post(
      '/api/probes/:id/readings',
      {
        config: { access: TO_PROBE },
        bodyLimit: BODY_BYTES,
        schema: {
          params: IdParams,
          body: ReadingsBody,
          response: { 200: ReceiptSchema, '4xx': ErrorSchema, '5xx': ErrorSchema },
        },
        // A lone reading becomes a list of one, so that the schema stays plain and its errors name the field.
        preValidation: async (request) => {
          if (!Array.isArray(request.body)) request.body = [request.body] as never
        },
      },
      async ({ params, body }) => toReceiptAnswer(await deps.intake.receive(Number(params.id), body)),
    )
  }

/** JSON has no NaN: a reading refused for having no value shows null. */
const toReceiptAnswer = (receipt: Receipt): ReceiptAnswer => ({
  ...receipt,
  refused: receipt.refused.map((refusal) => ({
    ...refusal,
    value: Number.isFinite(refusal.value) ? refusal.value : null,
  })),
})
