/** `/api/houses/:id/people`: who reaches a house, the links that open it to its owner, and its hand-over to a new one. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { FastifyInstance } from 'fastify'
import { Type } from 'typebox'
import { type Access, CONTRACTOR_IN_PERSON } from './access.ts'
import { gone } from './account.ts'
import { callerOf } from './caller.ts'
import { ERRORS } from './contract/error.ts'
import { HouseKeyParams } from './contract/findings.ts'
import { HandedOverSchema, HandOverBody, HousePeopleSchema, NewLinkBody, NewLinkSchema } from './contract/people.ts'
import { answerForPeople } from './peopleRefusals.ts'
import type { PeopleDeps } from './signIn.ts'
import { unknownHouse } from './unknownHouse.ts'

const Gone = Type.Null()
const LinkParams = Type.Object({
  ...HouseKeyParams.properties,
  link: Type.String({ pattern: '^[1-9][0-9]{0,14}$' }),
})
const access: Access = { ...CONTRACTOR_IN_PERSON, about: { kind: 'house', param: 'id' } }
const config = { access }

export const ownerLinksRoutes =
  ({ desk, houses }: Pick<PeopleDeps, 'desk' | 'houses'>): FastifyPluginAsyncTypebox =>
  async (app) => {
    answerForPeople(app as unknown as FastifyInstance)

    app.get(
      '/api/houses/:id/people',
      { config, schema: { params: HouseKeyParams, response: { 200: HousePeopleSchema, ...ERRORS } } },
      async ({ params: { id } }) => {
        const house = (await houses()).find(({ key }) => key === id)
        if (house === undefined) throw unknownHouse(id)
        const people = (await desk.people()).filter((person) => person.houses.includes(id))
        return { house, people, links: await desk.links(id) }
      },
    )

    app.post(
      '/api/houses/:id/links',
      { config, schema: { params: HouseKeyParams, body: NewLinkBody, response: { 201: NewLinkSchema, ...ERRORS } } },
      async (request, reply) =>
        reply.status(201).send(await desk.addLink(request.params.id, request.body, callerOf(request))),
    )

    app.delete(
      '/api/houses/:id/links/:link',
      { config, schema: { params: LinkParams, response: { 204: Gone, ...ERRORS } } },
      async (request, reply) => {
        const { id, link } = request.params
        if (!(await desk.revokeLink(id, Number(link), callerOf(request)))) throw gone('link')
        return reply.status(204).send(null)
      },
    )

    app.post(
      '/api/houses/:id/owner',
      {
        config,
        schema: { params: HouseKeyParams, body: HandOverBody, response: { 201: HandedOverSchema, ...ERRORS } },
      },
      async (request, reply) =>
        reply.status(201).send(await desk.handOver(request.params.id, request.body, callerOf(request))),
    )
  }
