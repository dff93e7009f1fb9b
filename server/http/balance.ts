/**
 * `/api/houses/:id/balance`: the kept balance, or the job that makes it; `/api/houses/:id/whatif`: remedies tried on the
 * fitted house. The house is named by its number or its key.
 */

import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Crowded, Stopping, Superseded } from '../jobs/standingWorker.ts'
import type { Job } from '../store/jobs.ts'
import type { BalanceState, Balances } from '../study/balance/balanceJob.ts'
import { CREW_AT_HOUSE } from './access.ts'
import {
  type BalanceStateAnswer,
  BalanceStateSchema,
  type BeingMadeAnswer,
  BeingMadeSchema,
  CanceledSchema,
  HouseParams,
  WhatIfBody,
  WhatIfSchema,
} from './contract/balance.ts'
import { ERRORS } from './contract/error.ts'
import { FITS, WHAT_IFS } from './costly.ts'
import { ServiceError } from './errors.ts'

const ASKED = { params: HouseParams, response: { 200: BalanceStateSchema, 202: BeingMadeSchema, ...ERRORS } }

export const balanceRoutes =
  ({ balances }: { balances: Balances }): FastifyPluginAsyncTypebox =>
  async (app) => {
    async function ofHouse<T>(id: string, ask: (houseKey: string) => Promise<T | undefined>): Promise<T> {
      const key = await balances.houseKey(id)
      const answer = key === undefined ? undefined : await ask(key)
      if (answer !== undefined) return answer
      throw new ServiceError('UNKNOWN_HOUSE', `There is no house "${id}".`, 'Look at the list of houses.', 'params/id')
    }

    app.get(
      '/api/houses/:id/balance',
      { config: { access: CREW_AT_HOUSE }, schema: ASKED },
      async ({ params }, reply) => {
        const found = toAnswer(await ofHouse(params.id, (key) => balances.ask(key)))
        return found.state === 'being made' ? reply.status(202).send(found) : reply.status(200).send(found)
      },
    )

    app.post(
      '/api/houses/:id/balance',
      { config: { access: CREW_AT_HOUSE, costs: FITS }, schema: ASKED },
      async ({ params }, reply) => {
        const found = toAnswer(await ofHouse(params.id, (key) => balances.ask(key, true)))
        return found.state === 'being made' ? reply.status(202).send(found) : reply.status(200).send(found)
      },
    )

    app.delete(
      '/api/houses/:id/balance',
      {
        config: { access: CREW_AT_HOUSE },
        schema: { params: HouseParams, response: { 200: CanceledSchema, ...ERRORS } },
      },
      async ({ params }) => ({ canceled: await ofHouse(params.id, balances.cancel) }),
    )

    app.post(
      '/api/houses/:id/whatif',
      {
        config: { access: CREW_AT_HOUSE, costs: WHAT_IFS },
        schema: { params: HouseParams, body: WhatIfBody, response: { 200: WhatIfSchema, ...ERRORS } },
      },
      ({ params, body: { part = 'interval', asker, ...asked }, ip }) =>
        ofHouse(params.id, (key) =>
          balances
            .whatIf(key, { ...asked, year: null }, { part, asker: `${asker ?? ip} ${key}` })
            .catch((error: unknown) => {
              throw refusal(error) ?? error
            }),
        ),
    )
  }

/** undefined for anything but a refusal of the desk. */
function refusal(error: unknown): ServiceError | undefined {
  if (error instanceof Superseded) {
    return new ServiceError('SUPERSEDED', error.message, 'Wait for the answer to that one.')
  }
  if (error instanceof Crowded) return new ServiceError('CROWDED', error.message, 'Ask again in a few seconds.')
  if (error instanceof Stopping) return new ServiceError('NOT_READY', error.message, 'Ask again when it runs.')
  return undefined
}

function toAnswer(found: BalanceState): BalanceStateAnswer | BeingMadeAnswer {
  if (found.state === 'ready') return { state: 'ready', computedAt: found.computedAt, balance: found.answer }
  return { state: found.state, job: jobAnswer(found.job) }
}

const jobAnswer = ({ id, state, done, total, message }: Job) => ({
  id,
  state,
  done: total ? Math.min(1, done / total) : 0,
  message,
})
