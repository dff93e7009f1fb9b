/** `/api/people`: whom the firm lets in, as which of the three, and to which houses. For contractors. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { FastifyInstance } from 'fastify'
import { Type } from 'typebox'
import { CONTRACTOR_IN_PERSON } from './access.ts'
import { callerOf } from './caller.ts'
import { ERRORS, IdParams } from './contract/error.ts'
import {
  ExportSchema,
  InvitationSchema,
  NewPersonBody,
  NewPersonSchema,
  PeopleSchema,
  PersonChangeBody,
  PersonSchema,
} from './contract/people.ts'
import { answerForPeople } from './peopleRefusals.ts'
import type { PeopleDeps } from './signIn.ts'

const Gone = Type.Null()
const config = { access: CONTRACTOR_IN_PERSON }

export const peopleRoutes =
  ({ desk, houses }: Pick<PeopleDeps, 'desk' | 'houses'>): FastifyPluginAsyncTypebox =>
  async (app) => {
    answerForPeople(app as unknown as FastifyInstance)

    app.get('/api/people', { config, schema: { response: { 200: PeopleSchema, ...ERRORS } } }, async () => ({
      people: await desk.people(),
      houses: await houses(),
    }))

    app.post(
      '/api/people',
      { config, schema: { body: NewPersonBody, response: { 201: NewPersonSchema, ...ERRORS } } },
      async (request, reply) => reply.status(201).send(await desk.addPerson(request.body, callerOf(request))),
    )

    app.patch(
      '/api/people/:id',
      { config, schema: { params: IdParams, body: PersonChangeBody, response: { 200: PersonSchema, ...ERRORS } } },
      (request) => desk.changePerson(Number(request.params.id), request.body, callerOf(request)),
    )

    app.post(
      '/api/people/:id/invitation',
      { config, schema: { params: IdParams, response: { 201: InvitationSchema, ...ERRORS } } },
      async (request, reply) => reply.status(201).send(await desk.inviteAgain(Number(request.params.id))),
    )

    app.get(
      '/api/people/:id/export',
      { config, schema: { params: IdParams, response: { 200: ExportSchema, ...ERRORS } } },
      async ({ params: { id } }, reply) => {
        const told = await desk.exportPerson(Number(id))
        reply.header('content-disposition', `attachment; filename="underjoist-person-${id}.json"`)
        return told
      },
    )

    app.delete(
      '/api/people/:id',
      { config, schema: { params: IdParams, response: { 204: Gone, ...ERRORS } } },
      async (request, reply) => {
        await desk.deletePerson(Number(request.params.id), callerOf(request))
        return reply.status(204).send(null)
      },
    )
  }
