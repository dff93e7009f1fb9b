/** Loggers from enrolling to retiring, visits under houses, and what was refused of what loggers sent. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import { LoggerRefused } from '../store/loggerRefused.ts'
import { VisitRefused } from '../store/visits.ts'
import type { LoggerDesk } from '../study/loggerDesk.ts'
import { ERRORS, IdParams } from './contract/error.ts'
import { HouseKeyParams } from './contract/findings.ts'
import {
  EnrollBody,
  EnrolledSchema,
  IntakeSchema,
  LoggerChangeBody,
  LoggerParams,
  LoggerSchema,
  LoggersQuery,
  LoggersSchema,
  PickUpBody,
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
import { WHO } from './who.ts'

export interface LoggersDeps {
  loggers: LoggerDesk
}

export const loggersRoutes =
  ({ loggers }: LoggersDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    const one = { params: LoggerParams, response: { 200: LoggerSchema, ...ERRORS } }

    app.get(
      '/api/loggers',
      { schema: { querystring: LoggersQuery, response: { 200: LoggersSchema, ...ERRORS } } },
      async ({ query: { house } }) => ({
        loggers: await refusing(loggers.list(house === undefined ? {} : { house }), 'querystring'),
      }),
    )

    app.post(
      '/api/loggers',
      { schema: { body: EnrollBody, response: { 201: EnrolledSchema, ...ERRORS } } },
      async ({ body: { count = 1, ...asked } }, reply) =>
        reply.status(201).send({ enrolled: await refusing(loggers.enroll({ ...asked, count }, WHO)) }),
    )

    app.get(
      '/api/loggers/:key',
      { schema: { ...one, description: 'By its key, or by the code on its label.' } as typeof one },
      async ({ params: { key } }) => {
        const found = await loggers.find(key)
        if (found === undefined) throw unknownLogger(`There is no logger "${key}".`)
        return found
      },
    )

    app.patch('/api/loggers/:key', { schema: { ...one, body: LoggerChangeBody } }, ({ params: { key }, body }) =>
      refusing(loggers.change(key, body, WHO)),
    )

    app.post(
      '/api/loggers/:key/secret',
      { schema: { params: LoggerParams, response: { 200: SecretSchema, ...ERRORS } } },
      ({ params: { key } }) => refusing(loggers.newSecret(key)),
    )

    app.delete('/api/loggers/:key/secret', { schema: one }, ({ params: { key } }) =>
      refusing(loggers.revokeSecret(key)),
    )

    app.post('/api/loggers/:key/place', { schema: { ...one, body: PlaceBody } }, ({ params: { key }, body }) =>
      refusing(loggers.place(key, body, WHO)),
    )

    app.post('/api/loggers/:key/pick-up', { schema: { ...one, body: PickUpBody } }, ({ params: { key }, body }) =>
      refusing(loggers.pickUp(key, body.at, WHO)),
    )

    app.post(
      '/api/loggers/:key/swap',
      { schema: { params: LoggerParams, body: SwapBody, response: { 200: LoggersSchema, ...ERRORS } } },
      async ({ params: { key }, body }) => ({ loggers: await refusing(loggers.swap(key, body, WHO)) }),
    )

    app.post('/api/loggers/:key/retire', { schema: { ...one, body: RetireBody } }, ({ params: { key }, body }) =>
      refusing(loggers.retire(key, body.why, WHO)),
    )

    app.get(
      '/api/houses/:id/visit',
      { schema: { params: HouseKeyParams, response: { 200: VisitSchema, ...ERRORS } } },
      async ({ params: { id } }) => visit(id, await loggers.insideSince(id)),
    )

    app.post(
      '/api/houses/:id/visit',
      { schema: { params: HouseKeyParams, body: VisitBody, response: { 200: VisitSchema, ...ERRORS } } },
      async ({ params: { id }, body }) => visit(id, await refusing(loggers.step(id, body, WHO))),
    )

    app.get('/api/refused-messages', { schema: { response: { 200: RefusedMessagesSchema, ...ERRORS } } }, async () => ({
      refused: (await loggers.refused()).map(({ loggerKey, payload, ...rest }) => ({
        ...rest,
        logger: loggerKey,
        payload: shown(payload),
      })),
    }))

    app.delete(
      '/api/refused-messages/:id',
      { schema: { params: IdParams, response: { 204: Type.Null(), ...ERRORS } } },
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

    app.get('/api/intake', { schema: { response: { 200: IntakeSchema, ...ERRORS } } }, () => loggers.intake())
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
