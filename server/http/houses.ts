/** A house as people enter and correct it, and the history of who changed what. */

import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Caller } from '../people/types.ts'
import type { HistoryEntry, Undone } from '../store/history.ts'
import type { HouseTree } from '../store/houseTree.ts'
import type { TreeProblem } from '../store/houseTreeProblems.ts'
import { houseVersion } from '../store/houseVersion.ts'
import { HouseRefused } from '../store/storeHouse.ts'
import { CONTRACTOR, CREW_AT_HOUSE } from './access.ts'
import { callerOf, nameOf } from './caller.ts'
import { ERRORS } from './contract/error.ts'
import { HouseKeyParams } from './contract/findings.ts'
import { HistorySchema, HouseChangeBody, HouseProblemsSchema, HouseSchema, NewHouseBody } from './contract/house.ts'
import { ServiceError } from './errors.ts'
import { unknownHouse } from './unknownHouse.ts'

export interface HousesDeps {
  houses: {
    read(key: string): Promise<HouseTree | undefined>
    /**
     * What is wrong with it, by itself and beside the other houses; empty when it may be stored.
     * @param houses within reach of whoever entered it
     */
    problems(tree: HouseTree, houses: Caller['houses']): TreeProblem[]
    /** @throws HouseRefused, also when the house is no longer of the version it was changed from */
    store(tree: HouseTree, change: { replace: boolean; version?: string; what?: string; who: string }): Promise<void>
    history(key: string): Promise<HistoryEntry[] | undefined>
    undo(key: string, entry: number, by: { who: string; houses: Caller['houses'] }): Promise<Undone>
  }
}

const EntryParams = Type.Object({ ...HouseKeyParams.properties, entry: Type.String({ pattern: '^[1-9][0-9]{0,14}$' }) })

export const housesRoutes =
  ({ houses }: HousesDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    async function answer(key: string) {
      const house = await houses.read(key)
      if (house === undefined) throw unknownHouse(key)
      return { house, version: houseVersion(house) }
    }

    app.get(
      '/api/houses/:id',
      {
        config: { access: CREW_AT_HOUSE },
        schema: { params: HouseKeyParams, response: { 200: HouseSchema, ...ERRORS } },
      },
      ({ params }) => answer(params.id),
    )

    app.post(
      '/api/houses',
      {
        config: { access: CONTRACTOR },
        schema: { body: NewHouseBody, response: { 201: HouseSchema, 422: HouseProblemsSchema, ...ERRORS } },
      },
      async (request, reply) => {
        const { house } = request.body
        const problems = houses.problems(house, callerOf(request).houses)
        if (problems.length > 0) return reply.status(422).send(badHouse(problems))
        await refusing(houses.store(house, { replace: false, who: nameOf(request) }))
        return reply.status(201).send(await answer(house.key))
      },
    )

    app.put(
      '/api/houses/:id',
      {
        config: { access: CREW_AT_HOUSE },
        schema: {
          params: HouseKeyParams,
          body: HouseChangeBody,
          response: { 200: HouseSchema, 422: HouseProblemsSchema, ...ERRORS },
        },
      },
      async (request, reply) => {
        const { house, version, what } = request.body
        const { id } = request.params
        // Before its problems are told: they may be gone in the house as it is now.
        if (version !== (await answer(id)).version) throw changedMeanwhile()
        const problems =
          house.key === id
            ? houses.problems(house, callerOf(request).houses)
            : [{ path: '/key', problem: `must stay "${id}".` }]
        if (problems.length > 0) return reply.status(422).send(badHouse(problems))
        await refusing(houses.store(house, { replace: true, version, what, who: nameOf(request) }))
        return reply.status(200).send(await answer(id))
      },
    )

    app.get(
      '/api/houses/:id/history',
      {
        config: { access: CREW_AT_HOUSE },
        schema: { params: HouseKeyParams, response: { 200: HistorySchema, ...ERRORS } },
      },
      async ({ params: { id } }) => {
        const entries = await houses.history(id)
        if (entries === undefined) throw unknownHouse(id)
        return { entries }
      },
    )

    app.post(
      '/api/houses/:id/history/:entry/undo',
      { config: { access: CREW_AT_HOUSE }, schema: { params: EntryParams, response: { 200: HouseSchema, ...ERRORS } } },
      async (request) => {
        const { id, entry } = request.params
        const { name: who, houses: reached } = callerOf(request)
        const undone = await houses.undo(id, Number(entry), { who, houses: reached })
        if (!undone.done) throw notUndone(undone)
        return answer(id)
      },
    )
  }

const changedMeanwhile = () =>
  new ServiceError(
    'CHANGED_MEANWHILE',
    'Somebody else changed this house since you opened it; nothing of yours was stored.',
    'Load the page again and enter your change once more.',
    'body/version',
  )

/** What only the writer can see, for two may store at once. */
async function refusing(storing: Promise<void>): Promise<void> {
  try {
    await storing
  } catch (error) {
    if (!(error instanceof HouseRefused)) throw error
    if (error.kind === 'changed meanwhile') throw changedMeanwhile()
    if (error.kind === 'clash')
      throw new ServiceError('BAD_HOUSE', error.message, 'Correct it and store again.', 'body/house')
    throw new ServiceError(
      'KEY_TAKEN',
      error.message,
      'Give the new house another key, such as one with the street number.',
      'body/house/key',
    )
  }
}

const badHouse = (problems: TreeProblem[]) => ({
  code: 'BAD_HOUSE',
  message: 'The house was not stored: something in it cannot be right.',
  hint: 'Correct the fields named and store again.',
  where: problems[0]!.path,
  problems,
})

function notUndone(undone: Exclude<Undone, { done: true }>): ServiceError {
  switch (undone.why) {
    case 'no such entry':
      return new ServiceError(
        'NOT_FOUND',
        'There is no such entry in the history of this house.',
        'Load the history again.',
      )
    case 'undone':
      return new ServiceError('CANNOT_UNDO', 'This change has been undone already.', 'Load the history again.')
    case 'not possible':
      return new ServiceError(
        'CANNOT_UNDO',
        'This entry changed no fact that could be put back.',
        'Enter what should be there instead.',
      )
    case 'changed since':
      return new ServiceError(
        'CANNOT_UNDO',
        `It was changed again since: ${undone.paths.join(', ')}.`,
        'Undo the later change first, or enter what should be there.',
      )
    case 'would be wrong':
      return new ServiceError(
        'CANNOT_UNDO',
        `Putting it back would leave the house wrong: ${undone.problems.map(({ path, problem }) => `${path} ${problem}`).join(' ')}`,
        'Correct what stands against it first.',
      )
  }
}
