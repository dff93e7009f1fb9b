/** `/api/account`: what everybody does about themselves alone: sessions, password, tokens, what is kept about them. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { FastifyInstance } from 'fastify'
import { Type } from 'typebox'
import { IN_PERSON } from './access.ts'
import { callerOf } from './caller.ts'
import { ERRORS, IdParams } from './contract/error.ts'
import {
  ChangePasswordBody,
  EndedSchema,
  ExportSchema,
  NewTokenBody,
  NewTokenSchema,
  SessionsSchema,
  TokensSchema,
} from './contract/people.ts'
import { ServiceError } from './errors.ts'
import { answerForPeople } from './peopleRefusals.ts'
import { notAllowed } from './refusals.ts'
import { clientOf, letIn, type SignInDeps } from './sessionCookie.ts'

const Gone = Type.Null()
const config = { access: IN_PERSON }

export const accountRoutes =
  (deps: SignInDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    const { desk } = deps
    answerForPeople(app as unknown as FastifyInstance)
    // A link shows a house. With a token made here, whoever found it would stay in after it was taken back.
    app.addHook('onRequest', async (request) => {
      if (callerOf(request).via === 'link')
        throw notAllowed('A link shows one house, not an account: sign in for that.')
    })

    app.get(
      '/api/account/sessions',
      { config, schema: { response: { 200: SessionsSchema, ...ERRORS } } },
      async (request) => {
        const { personId, sessionId } = callerOf(request)
        const sessions = await desk.sessions(personId)
        return { sessions: sessions.map((session) => ({ ...session, thisOne: session.id === sessionId })) }
      },
    )

    app.delete(
      '/api/account/sessions/:id',
      { config, schema: { params: IdParams, response: { 204: Gone, ...ERRORS } } },
      async (request, reply) => {
        const ended = await desk.endSession(callerOf(request).personId, Number(request.params.id))
        if (!ended) throw gone('session')
        return reply.status(204).send(null)
      },
    )

    app.delete(
      '/api/account/sessions',
      { config, schema: { response: { 200: EndedSchema, ...ERRORS } } },
      async (request) => ({ ended: await desk.endOtherSessions(callerOf(request)) }),
    )

    app.post(
      '/api/account/password',
      { config, schema: { body: ChangePasswordBody, response: { 204: Gone, ...ERRORS } } },
      async (request, reply) => {
        const signedIn = await desk.changePassword(callerOf(request), request.body, clientOf(request))
        await letIn(request, reply, deps, signedIn)
        return reply.status(204).send(null)
      },
    )

    app.get(
      '/api/account/tokens',
      { config, schema: { response: { 200: TokensSchema, ...ERRORS } } },
      async (request) => ({
        tokens: await desk.tokens(callerOf(request).personId),
      }),
    )

    app.post(
      '/api/account/tokens',
      { config, schema: { body: NewTokenBody, response: { 201: NewTokenSchema, ...ERRORS } } },
      async (request, reply) => reply.status(201).send(await desk.addToken(callerOf(request), request.body)),
    )

    app.delete(
      '/api/account/tokens/:id',
      { config, schema: { params: IdParams, response: { 204: Gone, ...ERRORS } } },
      async (request, reply) => {
        const revoked = await desk.revokeToken(callerOf(request).personId, Number(request.params.id))
        if (!revoked) throw gone('token')
        return reply.status(204).send(null)
      },
    )

    app.get(
      '/api/account/export',
      { config, schema: { response: { 200: ExportSchema, ...ERRORS } } },
      async (request, reply) => {
        reply.header('content-disposition', 'attachment; filename="underjoist-account.json"')
        return desk.exportPerson(callerOf(request).personId)
      },
    )
  }

export const gone = (what: 'session' | 'token' | 'link'): ServiceError =>
  new ServiceError('UNKNOWN_PERSON', `There is no such ${what}.`, 'Load the list again.', 'params/id')
