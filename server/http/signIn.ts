/** `/api/sign-in`: who is signed in, and every way to be. No answer tells whether there is an account. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify'
import { Type } from 'typebox'
import type { Caller, PeopleDesk, SignedIn } from '../people/types.ts'
import { ANYONE_LOOKED_AT } from './access.ts'
import { ERRORS } from './contract/error.ts'
import {
  type CallerAnswer,
  FirstBody,
  ForgotBody,
  LinkBody,
  SetPasswordBody,
  SignInBody,
  SignInStateSchema,
} from './contract/people.ts'
import { answerForPeople } from './peopleRefusals.ts'
import { clientOf, letIn, letOut } from './sessionCookie.ts'
import { notFromForeignPages } from './strangers.ts'

export interface HouseName {
  key: string
  name: string
}

export interface PeopleDeps {
  desk: PeopleDesk
  publicUrl: string
  /** Every house, by name. */
  houses: () => Promise<HouseName[]>
}

const Gone = Type.Null()

/** The demo has no door: whoever sits at the machine is in. */
export const openDoorRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.get(
    '/api/sign-in',
    { config: { access: ANYONE_LOOKED_AT }, schema: { response: { 200: SignInStateSchema, ...ERRORS } } },
    async ({ caller }, reply) => {
      reply.header('cache-control', 'no-store')
      return { begun: true, caller: caller && answerOf(caller, []), demo: true, origin: null }
    },
  )
}

export const signInRoutes =
  (deps: PeopleDeps): FastifyPluginAsyncTypebox =>
  async (app) => {
    const { desk, publicUrl, houses } = deps
    answerForPeople(app as unknown as FastifyInstance)
    const told = async (caller: Caller | null) => ({
      begun: caller !== null || (await desk.begun()),
      caller: caller && answerOf(caller, await houses()),
      demo: false,
      origin: new URL(publicUrl).origin,
    })

    app.get(
      '/api/sign-in',
      { config: { access: ANYONE_LOOKED_AT }, schema: { response: { 200: SignInStateSchema, ...ERRORS } } },
      ({ caller }) => told(caller),
    )

    // Nobody is signed in yet, so no cookie tells whose page this is: a foreign one could sign its own person in here.
    const ours = {
      config: { access: ANYONE_LOOKED_AT },
      onRequest: async (request: FastifyRequest) => notFromForeignPages(request, publicUrl),
    }
    const answers = { response: { 200: SignInStateSchema, ...ERRORS } }

    async function welcome(request: FastifyRequest, reply: FastifyReply, signedIn: SignedIn) {
      await letIn(request, reply, deps, signedIn)
      return told(signedIn.caller)
    }

    app.post('/api/sign-in', { ...ours, schema: { body: SignInBody, ...answers } }, async (request, reply) =>
      welcome(request, reply, await desk.signIn(request.body, clientOf(request))),
    )

    app.post('/api/sign-in/first', { ...ours, schema: { body: FirstBody, ...answers } }, async (request, reply) =>
      welcome(request, reply, await desk.begin(request.body, clientOf(request))),
    )

    app.post('/api/sign-in/link', { ...ours, schema: { body: LinkBody, ...answers } }, async (request, reply) =>
      welcome(request, reply, await desk.enter(request.body.link, clientOf(request))),
    )

    app.post(
      '/api/sign-in/password',
      { ...ours, schema: { body: SetPasswordBody, ...answers } },
      async (request, reply) => welcome(request, reply, await desk.setPassword(request.body, clientOf(request))),
    )

    app.post(
      '/api/sign-in/forgot',
      { ...ours, schema: { body: ForgotBody, response: { 202: Gone, ...ERRORS } } },
      async (request, reply) => {
        await desk.forgotPassword(request.body.email, clientOf(request))
        return reply.status(202).send(null)
      },
    )

    app.delete('/api/sign-in', { ...ours, schema: { response: { 204: Gone, ...ERRORS } } }, async (request, reply) => {
      await letOut(request, reply, deps)
      return reply.status(204).send(null)
    })
  }

function answerOf({ personId, name, role, houses, via }: Caller, all: readonly HouseName[]): CallerAnswer {
  return {
    id: personId,
    name,
    role,
    houses: houses === 'all' ? 'all' : all.filter(({ key }) => houses.has(key)).map(({ key, name }) => ({ key, name })),
    via,
  }
}
