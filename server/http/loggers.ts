/** Loggers from enrolling to retiring, visits under houses, and what was refused of what loggers sent. */

import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { Static } from 'typebox'
import { Type } from 'typebox'
import { LoggerRefused } from '../store/loggerRefused.ts'
import type { Thing } from '../store/reach.ts'
import { VisitRefused } from '../store/visits.ts'
import type { LoggerDesk } from '../study/loggerDesk.ts'
import { type Access, CONTRACTOR, CREW_AT_HOUSE, CREW_AT_LOGGER, CREW_IN_REACH } from './access.ts'
import { callerOf, nameOf, reaches } from './caller.ts'
import { ERRORS, IdParams } from './contract/error.ts'
import { HouseKeyParams } from './contract/findings.ts'
import {
  type Enroll,
  EnrollBody,
  EnrolledSchema,
  IntakeSchema,
  LoggerChangeBody,
  LoggerParams,
  LoggerSchema,
  LoggersQuery,
  LoggersSchema,
  PickUpBody,
  type Place,
  PlaceBody,
  RefusedMessagesSchema,
  RetireBody,
  SecretSchema,
  SwapBody,
  VisitBody,
  VisitSchema,
} from './contract/loggers.ts'
import { type Code, ServiceError } from './errors.ts'
import { unknownHouse } from './unknownHouse.ts'

export interface LoggersDeps {
  loggers: LoggerDesk
}

const house = (key: string | undefined): Thing[] => (key === undefined ? [] : [{ kind: 'house', name: key }])
const ENROLLS: Access = { ...CREW_IN_REACH, mentions: ({ body }) => house((body as Enroll).house) }
const PLACES: Access = { ...CREW_AT_LOGGER, mentions: ({ body }) => house((body as Place).house) }
const SWAPS: Access = {
  ...CREW_AT_LOGGER,
  mentions: ({ body }) => [{ kind: 'logger', name: (body as Static<typeof SwapBody>).with }],
}
const SEES_LOGGERS: Access = {
  ...CREW_IN_REACH,
  mentions: ({ query }) => house((query as Static<typeof LoggersQuery>).house),
}

export const loggersRoutes =
  ({ loggers }: LoggersDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    const one = { params: LoggerParams, response: { 200: LoggerSchema, ...ERRORS } }
    const config = { access: CREW_AT_LOGGER }

    app.get(
      '/api/loggers',
      {
        config: { access: SEES_LOGGERS },
        schema: { querystring: LoggersQuery, response: { 200: LoggersSchema, ...ERRORS } },
      },
      async (request) => {
        const { house } = request.query
        const caller = callerOf(request)
        const found = await refusing(loggers.list(house === undefined ? {} : { house }), 'querystring')
        return { loggers: found.filter((logger) => reaches(caller, logger.house?.key ?? null)) }
      },
    )

    app.post(
      '/api/loggers',
      { config: { access: ENROLLS }, schema: { body: EnrollBody, response: { 201: EnrolledSchema, ...ERRORS } } },
      async (request, reply) => {
        const { count = 1, ...asked } = request.body
        return reply
          .status(201)
          .send({ enrolled: await refusing(loggers.enroll({ ...asked, count }, nameOf(request))) })
      },
    )

    app.get(
      '/api/loggers/:key',
      { config, schema: { ...one, description: 'By its key, or by the code on its label.' } as typeof one },
      async ({ params: { key } }) => {
        const found = await loggers.find(key)
        if (found === undefined) throw unknownLogger(`There is no logger "${key}".`)
        return found
      },
    )

    app.patch('/api/loggers/:key', { config, schema: { ...one, body: LoggerChangeBody } }, (request) =>
      refusing(loggers.change(request.params.key, request.body, nameOf(request))),
    )

    app.post(
      '/api/loggers/:key/secret',
      { config, schema: { params: LoggerParams, response: { 200: SecretSchema, ...ERRORS } } },
      ({ params: { key } }) => refusing(loggers.newSecret(key)),
    )

    app.delete('/api/loggers/:key/secret', { config, schema: one }, ({ params: { key } }) =>
      refusing(loggers.revokeSecret(key)),
    )

    app.post(
      '/api/loggers/:key/place',
      { config: { access: PLACES }, schema: { ...one, body: PlaceBody } },
      (request) => refusing(loggers.place(request.params.key, request.body, nameOf(request))),
    )

    app.post('/api/loggers/:key/pick-up', { config, schema: { ...one, body: PickUpBody } }, (request) =>
      refusing(loggers.pickUp(request.params.key, request.body.at, nameOf(request))),
    )

    app.post(
      '/api/loggers/:key/swap',
      {
        config: { access: SWAPS },
        schema: { params: LoggerParams, body: SwapBody, response: { 200: LoggersSchema, ...ERRORS } },
      },
      async (request) => ({
        loggers: await refusing(loggers.swap(request.params.key, request.body, nameOf(request))),
      }),
    )

    app.post('/api/loggers/:key/retire', { config, schema: { ...one, body: RetireBody } }, (request) =>
      refusing(loggers.retire(request.params.key, request.body.why, nameOf(request))),
    )

    app.get(
      '/api/houses/:id/visit',
      {
        config: { access: CREW_AT_HOUSE },
        schema: { params: HouseKeyParams, response: { 200: VisitSchema, ...ERRORS } },
      },
      async ({ params: { id } }) => visit(id, await loggers.insideSince(id)),
    )

    app.post(
      '/api/houses/:id/visit',
      {
        config: { access: CREW_AT_HOUSE },
        schema: { params: HouseKeyParams, body: VisitBody, response: { 200: VisitSchema, ...ERRORS } },
      },
      async (request) => {
        const { id } = request.params
        return visit(id, await refusing(loggers.step(id, request.body, nameOf(request))))
      },
    )

    app.get(
      '/api/refused-messages',
      { config: { access: CONTRACTOR }, schema: { response: { 200: RefusedMessagesSchema, ...ERRORS } } },
      async () => ({
        refused: (await loggers.refused()).map(({ loggerKey, payload, ...rest }) => ({
          ...rest,
          logger: loggerKey,
          payload: shown(payload),
        })),
      }),
    )

    app.delete(
      '/api/refused-messages/:id',
      { config: { access: CONTRACTOR }, schema: { params: IdParams, response: { 204: Type.Null(), ...ERRORS } } },
      async ({ params: { id } }, reply) => {
        if (!(await loggers.dropRefused(Number(id)))) {
          throw new ServiceError(
            'UNKNOWN_MESSAGE',
            `There is no refused message ${id}.`,
            'Somebody has looked at it already; load the list again.',
            'params/id',
          )
        }
        return reply.status(204).send(null)
      },
    )

    app.get(
      '/api/intake',
      { config: { access: CREW_IN_REACH }, schema: { response: { 200: IntakeSchema, ...ERRORS } } },
      (request) => {
        const caller = callerOf(request)
        return loggers.intake((house) => reaches(caller, house))
      },
    )
  }

function visit(id: string, insideSince: number | null | undefined): { insideSince: number | null } {
  if (insideSince === undefined) throw unknownHouse(id)
  return { insideSince }
}

/** As text; bytes that are none, and signs that would not be seen, as a dot. */
const shown = (payload: Buffer): string => payload.toString('utf8').replace(/[\p{Cc}\uFFFD]/gu, '·')

const unknownLogger = (message: string, where = 'params/key'): ServiceError =>
  new ServiceError('UNKNOWN_LOGGER', message, 'GET /api/loggers lists them by key and code.', where)

const CODE_OF = {
  'unknown logger': 'UNKNOWN_LOGGER',
  'unknown house': 'UNKNOWN_HOUSE',
  taken: 'LOGGER_TAKEN',
  'bad placement': 'BAD_PLACEMENT',
  retired: 'LOGGER_RETIRED',
} as const satisfies Record<LoggerRefused['kind'], Code>

const HINTS = {
  'unknown logger': 'GET /api/loggers lists them by key and code.',
  'unknown house': 'Use the key of the house, such as maple-hollow.',
  taken: 'Choose another key, or leave it out: each logger is then named after its code.',
  'bad placement': 'Correct it and send again; nothing was changed.',
  retired: 'Enroll another logger; the readings of this one stay.',
} as const satisfies Record<LoggerRefused['kind'], string>

/** @param part where what was asked stands */
export async function refusing<T>(doing: Promise<T>, part: 'body' | 'querystring' = 'body'): Promise<T> {
  try {
    return await doing
  } catch (error) {
    if (error instanceof VisitRefused) {
      throw new ServiceError('NOT_INSIDE', error.message, 'Tap "in" when you go under the house.', 'body/step')
    }
    if (!(error instanceof LoggerRefused)) throw error
    const { kind, message, field } = error
    const where = field === 'key' && kind !== 'taken' ? 'params/key' : `${part}/${field}`
    throw new ServiceError(CODE_OF[kind], message, HINTS[kind], where)
  }
}
