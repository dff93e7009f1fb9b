/** Weather stations over HTTP. */

import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { StationDesk } from '../ingest/station/desk.ts'
import type { StationOutcome } from '../ingest/station/fetchStation.ts'
import { FetchRefused } from '../ingest/station/fetchText.ts'
import { StationRefused } from '../store/stations.ts'
import { HouseRefused } from '../store/storeHouse.ts'
import { CONTRACTOR } from './access.ts'
import { nameOf } from './caller.ts'
import { ERRORS } from './contract/error.ts'
import {
  BackfillBody,
  LookAtStationBody,
  NewStationBody,
  StationBody,
  StationFetchedSchema,
  StationHouseParams,
  StationLookSchema,
  StationParams,
  StationSchema,
  StationsSchema,
} from './contract/stations.ts'
import { FETCHES } from './costly.ts'
import { type Code, ServiceError } from './errors.ts'

export interface StationsDeps {
  stations: StationDesk
  now: () => number
}

const Gone = Type.Null()

export const stationsRoutes =
  ({ stations, now }: StationsDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    async function answer(key: string) {
      const station = await stations.find(key)
      if (station === undefined) throw inWords(new StationRefused('unknown station', `There is no station "${key}".`))
      return station
    }

    app.get(
      '/api/stations',
      { config: { access: CONTRACTOR }, schema: { response: { 200: StationsSchema, ...ERRORS } } },
      async () => ({
        asOf: now(),
        staleAfterH: await stations.staleHours(),
        stations: await stations.list(),
      }),
    )

    app.post(
      '/api/stations',
      { config: { access: CONTRACTOR }, schema: { body: NewStationBody, response: { 201: StationSchema, ...ERRORS } } },
      async ({ body: { key, ...given } }, reply) => {
        await refusing(stations.add(key, given))
        return reply.status(201).send(await answer(key))
      },
    )

    app.post(
      '/api/stations/look',
      {
        config: { access: CONTRACTOR, costs: FETCHES },
        schema: { body: LookAtStationBody, response: { 200: StationLookSchema, ...ERRORS } },
      },
      async ({ body: { fileProbes = [], ...asked } }) => {
        const looked = await refusing(stations.look({ ...asked, fileProbes }))
        const { kept, head, look, answers, settled, open, probes, quantities } = looked
        const { file, name, bytes } = kept
        return { file, name, bytes, head, look, answers, knownImportId: null, settled, open, probes, quantities }
      },
    )

    app.get(
      '/api/stations/:key',
      {
        config: { access: CONTRACTOR },
        schema: { params: StationParams, response: { 200: StationSchema, ...ERRORS } },
      },
      ({ params: { key } }) => answer(key),
    )

    app.put(
      '/api/stations/:key',
      {
        config: { access: CONTRACTOR },
        schema: { params: StationParams, body: StationBody, response: { 200: StationSchema, ...ERRORS } },
      },
      async ({ params: { key }, body }) => {
        await refusing(stations.change(key, body))
        return answer(key)
      },
    )

    app.delete(
      '/api/stations/:key',
      { config: { access: CONTRACTOR }, schema: { params: StationParams, response: { 204: Gone, ...ERRORS } } },
      async ({ params: { key } }, reply) => {
        await refusing(stations.remove(key))
        return reply.status(204).send(null)
      },
    )

    app.post(
      '/api/stations/:key/fetch',
      {
        config: { access: CONTRACTOR, costs: FETCHES },
        schema: { params: StationParams, response: { 200: StationFetchedSchema, ...ERRORS } },
      },
      async ({ params: { key } }) => {
        const outcome = await refusing(stations.fetchNow(key))
        return { state: outcome.state, sentence: sentenceOf(outcome), station: await answer(key) }
      },
    )

    app.post(
      '/api/stations/:key/backfill',
      {
        config: { access: CONTRACTOR, costs: FETCHES },
        schema: { params: StationParams, body: BackfillBody, response: { 202: StationSchema, ...ERRORS } },
      },
      async ({ params: { key }, body: { from } }, reply) => {
        await refusing(stations.backfill(key, from))
        return reply.status(202).send(await answer(key))
      },
    )

    const ofHouse = {
      config: { access: CONTRACTOR },
      schema: { params: StationHouseParams, response: { 200: StationSchema, ...ERRORS } },
    }
    app.put('/api/stations/:key/houses/:id', ofHouse, async (request) => {
      const { key, id } = request.params
      await refusing(stations.attach(key, id, nameOf(request)))
      return answer(key)
    })

    app.delete('/api/stations/:key/houses/:id', ofHouse, async (request) => {
      const { key, id } = request.params
      await refusing(stations.detach(key, id, nameOf(request)))
      return answer(key)
    })
  }

function sentenceOf(outcome: StationOutcome): string {
  if (outcome.state === 'unchanged') return 'Nothing changed since the last fetch.'
  if (outcome.state !== 'stored') return outcome.problem
  const n = (count: number) => count.toLocaleString('en-US')
  const { stored, repeated, filled, differs, refused } = outcome
  return [
    `${n(stored)} readings stored, ${n(repeated)} were there already.`,
    ...(filled > 0 ? [`${n(filled)} filled in a quantity that was missing.`] : []),
    ...(differs > 0 ? [`${n(differs)} differ from what is stored: the first value stays.`] : []),
    ...(refused > 0 ? [`${n(refused)} lines or values were refused.`] : []),
  ].join(' ')
}

async function refusing<T>(work: Promise<T>): Promise<T> {
  try {
    return await work
  } catch (error) {
    if (error instanceof StationRefused) throw inWords(error)
    if (error instanceof FetchRefused)
      throw new ServiceError('NOT_FETCHED', error.message, 'Then look at it again.', 'body/url')
    if (error instanceof HouseRefused)
      throw new ServiceError('BAD_HOUSE', error.message, 'Correct the house, then try again.')
    throw error
  }
}

const OF_REFUSAL: Record<StationRefused['kind'], { code: Code; hint: string }> = {
  'unknown station': { code: 'UNKNOWN_STATION', hint: 'Load the list of stations again.' },
  'unknown house': { code: 'UNKNOWN_HOUSE', hint: 'Load the list of houses again.' },
  'key taken': { code: 'KEY_TAKEN', hint: 'Such as the name of the place and a number.' },
  'in use': { code: 'STATION_IN_USE', hint: 'Its readings stay where they are.' },
  bad: { code: 'BAD_STATION', hint: 'Correct it and send again.' },
}

function inWords({ kind, message }: StationRefused): ServiceError {
  const { code, hint } = OF_REFUSAL[kind]
  return new ServiceError(code, message, hint)
}
