/** Guided checks of probes, and where the next logger goes. */

import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { Static } from 'typebox'
import type { Placing } from '../advice/placingFacts.ts'
import type { Reach, Thing } from '../store/reach.ts'
import { HouseRefused } from '../store/storeHouse.ts'
import { CHECK_SALT_WORDS } from '../study/checks/saltWords.ts'
import { CheckRefused } from '../study/checks/types.ts'
import type { GuidedChecks } from '../study/guidedChecks.ts'
import type { Units } from '../study/wording.ts'
import { type Access, CREW_AT_CHECK, CREW_AT_HOUSE, CREW_IN_REACH, within } from './access.ts'
import { callerOf, nameOf, reaches } from './caller.ts'
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

export interface ChecksDeps {
  checks: GuidedChecks
  placing: (houseKey: string, units: Units) => Promise<Placing | undefined>
  reach: Reach
}

const loggerOf = (probePath: string): Thing => ({ kind: 'logger', name: probePath.split('/')[0]! })
const BEGIN_CHECK: Access = {
  ...CREW_IN_REACH,
  mentions: ({ body }) => (body as Static<typeof BeginCheckBody>).probes.map(loggerOf),
}

export const checksRoutes =
  ({ checks, placing, reach }: ChecksDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get(
      '/api/checks',
      { config: { access: CREW_IN_REACH }, schema: { response: { 200: ChecksSchema, ...ERRORS } } },
      async (request) => {
        const caller = callerOf(request)
        const listed = await checks.list()
        return {
          checks: await those(listed.checks, ({ id }) => within(caller, { kind: 'check', name: String(id) }, reach)),
          houses: listed.houses.filter(({ key }) => reaches(caller, key)),
          probes: await those(listed.probes, ({ path }) => within(caller, loggerOf(path), reach)),
          salts: CHECK_SALT_WORDS,
        }
      },
    )

    app.post(
      '/api/checks',
      { config: { access: BEGIN_CHECK }, schema: { body: BeginCheckBody, response: { 201: CheckSchema, ...ERRORS } } },
      async (request, reply) => {
        const { kind, probes, salt } = request.body
        const id = await refusing(
          checks.begin({ kind, probes, salt: kind === 'salt' ? (salt ?? '') : null }, nameOf(request)),
        )
        return reply.status(201).send(await checks.read(id))
      },
    )

    app.get(
      '/api/checks/:id',
      {
        config: { access: CREW_AT_CHECK },
        schema: { params: IdParams, querystring: CheckQuery, response: { 200: CheckSchema, ...ERRORS } },
      },
      ({ params, query: { until } }) =>
        refusing(checks.read(Number(params.id), until === undefined ? undefined : Number(until))),
    )

    app.post(
      '/api/checks/:id/finish',
      {
        config: { access: CREW_AT_CHECK },
        schema: { params: IdParams, body: FinishCheckBody, response: { 200: CheckSchema, ...ERRORS } },
      },
      async (request) => {
        const { params, body } = request
        await refusing(checks.finish(Number(params.id), body, nameOf(request)))
        return checks.read(Number(params.id))
      },
    )

    app.post(
      '/api/checks/:id/give-up',
      {
        config: { access: CREW_AT_CHECK },
        schema: { params: IdParams, body: GiveUpCheckBody, response: { 200: CheckSchema, ...ERRORS } },
      },
      async (request) => {
        const { params, body } = request
        await refusing(checks.giveUp(Number(params.id), body, nameOf(request)))
        return checks.read(Number(params.id))
      },
    )

    app.get(
      '/api/houses/:id/placing',
      {
        config: { access: CREW_AT_HOUSE },
        schema: { params: HouseKeyParams, querystring: UnitsQuery, response: { 200: PlacingSchema, ...ERRORS } },
      },
      async ({ params: { id }, query: { units = 'us' } }) => {
        const answer = await placing(id, units)
        if (answer === undefined) throw unknownHouse(id)
        return answer
      },
    )
  }

async function those<T>(all: readonly T[], are: (one: T) => Promise<boolean>): Promise<T[]> {
  const kept = await Promise.all(all.map(are))
  return all.filter((_, i) => kept[i])
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
