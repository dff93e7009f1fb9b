/** Notices of a house: what is open, what was, and what people do about it. An owner sees those that concern an owner. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { FastifyRequest } from 'fastify'
import { Type } from 'typebox'
import type { Acted, NoticeDesk } from '../watch/noticeDesk.ts'
import type { Audience, NoticeWithChanges } from '../watch/types.ts'
import { AT_HOUSE, AT_NOTICE, notThere } from './access.ts'
import { callerOf, nameOf } from './caller.ts'
import { ERRORS } from './contract/error.ts'
import { HouseKeyParams } from './contract/findings.ts'
import { type NoticeAnswer, NoticeParams, NoticesSchema, SnoozeBody } from './contract/notices.ts'
import { ServiceError } from './errors.ts'
import { unknownHouse } from './unknownHouse.ts'

export interface NoticesDeps {
  desk: NoticeDesk
  now: () => number
}

const HOUR_MS = 3_600_000

export const noticesRoutes =
  ({ desk, now }: NoticesDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get(
      '/api/houses/:id/notices',
      {
        config: { access: AT_HOUSE },
        schema: { params: HouseKeyParams, response: { 200: NoticesSchema, ...ERRORS } },
      },
      async (request) => {
        const { id } = request.params
        const notices = await desk.list(id, readerOf(request as FastifyRequest))
        if (notices === undefined) throw unknownHouse(id)
        return { asOf: now(), notices: notices.map(answer) }
      },
    )

    app.post(
      '/api/notices/:id/acknowledge',
      { config: { access: AT_NOTICE }, schema: { params: NoticeParams, response: { 204: Type.Null(), ...ERRORS } } },
      async (request, reply) => {
        const asked = request as FastifyRequest
        const { id } = request.params
        refuseUndone(id, await desk.acknowledge(Number(id), readerOf(asked), nameOf(asked)))
        return reply.status(204).send(null)
      },
    )

    app.post(
      '/api/notices/:id/snooze',
      {
        config: { access: AT_NOTICE },
        schema: { params: NoticeParams, body: SnoozeBody, response: { 204: Type.Null(), ...ERRORS } },
      },
      async (request, reply) => {
        const asked = request as FastifyRequest
        const { id } = request.params
        const until = now() + request.body.hours * HOUR_MS
        refuseUndone(id, await desk.snooze(Number(id), readerOf(asked), until, nameOf(asked)))
        return reply.status(204).send(null)
      },
    )
  }

const readerOf = (request: FastifyRequest): Audience => (callerOf(request).role === 'owner' ? 'owner' : 'contractor')

function answer({ houseId: _house, cause: _cause, body, changes, ...notice }: NoticeWithChanges): NoticeAnswer {
  const { place, alsoAt, about, circumstances, numbers, audience, overAt } = body
  return {
    ...notice,
    overAt,
    concerns: audience,
    place,
    alsoAt,
    about,
    circumstances,
    numbers: { ...numbers },
    changes: changes.map(({ at, change, who, body: said }) => ({
      at,
      change,
      who,
      urgency: said?.urgency ?? null,
      quiet: said?.quiet ?? null,
    })),
  }
}

/** To an owner, what concerns the contractor alone is as little there as a number that was never given. */
function refuseUndone(id: string, acted: Acted): void {
  if (acted === 'not there') throw notThere({ kind: 'notice', name: id })
  if (acted === 'done') return
  throw new ServiceError(
    'UNKNOWN_NOTICE',
    `There is no open notice ${id} any more.`,
    'It is over: look at the notices of the house.',
    'params/id',
  )
}
