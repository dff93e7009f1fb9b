/** The cookie of a session: out of reach of scripts, never sent along by other sites, gone when the session is. */
import type { FastifyReply, FastifyRequest } from 'fastify'
import type { Client, PeopleDesk, SignedIn } from '../people/types.ts'
import { cookieName } from './access.ts'

const attributesFor = (publicUrl: string) =>
  ({ path: '/', httpOnly: true, sameSite: 'strict', secure: publicUrl.startsWith('https:') }) as const

export const clientOf = ({ ip, headers }: FastifyRequest): Client => ({
  address: ip,
  agent: headers['user-agent'] ?? '',
})

export interface SignInDeps {
  desk: PeopleDesk
  publicUrl: string
}

/** Whoever signs in gets a new secret; the one that the browser had is worth nothing from then on. */
export async function letIn(
  request: FastifyRequest,
  reply: FastifyReply,
  { desk, publicUrl }: SignInDeps,
  { secret, endsAt, caller }: SignedIn,
): Promise<void> {
  const before = request.caller?.sessionId ?? null
  if (before !== null && before !== caller.sessionId) await desk.signOut(before)
  reply.setCookie(cookieName(publicUrl), secret, { ...attributesFor(publicUrl), expires: new Date(endsAt) })
}

export async function letOut(
  request: FastifyRequest,
  reply: FastifyReply,
  { desk, publicUrl }: SignInDeps,
): Promise<void> {
  const before = request.caller?.sessionId ?? null
  if (before !== null) await desk.signOut(before)
  reply.clearCookie(cookieName(publicUrl), attributesFor(publicUrl))
}
