/** Guided checks of probes, and where the next logger goes. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { Placing } from '../advice/placingFacts.ts'
import { HouseRefused } from '../store/storeHouse.ts'
import { CHECK_SALT_WORDS } from '../study/checks/saltWords.ts'
import { CheckRefused } from '../study/checks/types.ts'
import type { GuidedChecks } from '../study/guidedChecks.ts'
import type { Units } from '../study/wording.ts'
import {
  BeginCheckBody,
  CheckQuery,
  CheckSchema,
  ChecksSchema,
  FinishCheckBody,
  GiveUpCheckBody,
  PlacingSchema,
} from './contract/checks.ts'
import { ERRORS, IdParams } from './contract/error.ts'
import { HouseKeyParams } from './contract/findings.ts'
import { UnitsQuery } from './contract/shapes.ts'
import { ServiceError } from './errors.ts'
import { unknownHouse } from './unknownHouse.ts'
import { WHO } from './who.ts'

export interface ChecksDeps {
  checks: GuidedChecks
  placing: (houseKey: string, units: Units) => Promise<Placing | undefined>
}

export const checksRoutes =
  ({ checks, placing }: ChecksDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get('/api/checks', { schema: { response: { 200: ChecksSchema, ...ERRORS } } }, async () => ({
      ...(await checks.list()),
      salts: CHECK_SALT_WORDS,
    }))

    app.post(
      '/api/checks',
      { schema: { body: BeginCheckBody, response: { 201: CheckSchema, ...ERRORS } } },
      async ({ body: { kind, probes, salt } }, reply) => {
        const id = await refusing(checks.begin({ kind, probes, salt: kind === 'salt' ? (salt ?? '') : null }, WHO))
        return reply.status(201).send(await checks.read(id))
      },
    )

    app.get(
      '/api/checks/:id',
      { schema: { params: IdParams, querystring: CheckQuery, response: { 200: CheckSchema, ...ERRORS } } },
      ({ params, query: { until } }) =>
        refusing(checks.read(Number(params.id), until === undefined ? undefined : Number(until))),
    )

    app.post(
      '/api/checks/:id/finish',
      { schema: { params: IdParams, body: FinishCheckBody, response: { 200: CheckSchema, ...ERRORS } } },
      async ({ params, body }) => {
        await refusing(checks.finish(Number(params.id), body, WHO))
        return checks.read(Number(params.id))
      },
    )

    app.post(
      '/api/checks/:id/give-up',
      { schema: { params: IdParams, body: GiveUpCheckBody, response: { 200: CheckSchema, ...ERRORS } } },
      async ({ params, body }) => {
        await refusing(checks.giveUp(Number(params.id), body, WHO))
        return checks.read(Number(params.id))
      },
    )

    app.get(
      '/api/houses/:id/placing',
      { schema: { params: HouseKeyParams, querystring: UnitsQuery, response: { 200: PlacingSchema, ...ERRORS } } },
      async ({ params: { id }, query: { units = 'us' } }) => {
        const answer = await placing(id, units)
        if (answer === undefined) throw unknownHouse(id)
        return answer
      },
    )
  }

const CODE_OF = { 'not found': 'UNKNOWN_CHECK', 'cannot begin': 'BAD_CHECK', 'not now': 'CHECK_NOT_READY' } as const

async function refusing<T>(work: Promise<T>): Promise<T> {
  try {
    return await work
  } catch (error) {
    if (error instanceof CheckRefused) throw new ServiceError(CODE_OF[error.kind], error.message, error.hint)
    if (!(error instanceof HouseRefused)) throw error
    throw error.kind === 'changed meanwhile'
      ? new ServiceError('CHANGED_MEANWHILE', error.message, 'Try again.')
      : new ServiceError(
          'BAD_HOUSE',
          `The house could not be changed: ${error.message}`,
          'Correct it under Enter and correct, then try again.',
        )
  }
}
