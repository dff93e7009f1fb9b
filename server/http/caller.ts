/** Who makes a request, as the rest of a route asks for it. */
import type { FastifyRequest } from 'fastify'
import type { Caller } from '../people/types.ts'
import { notSignedIn } from './refusals.ts'

declare module 'fastify' {
  interface FastifyRequest {
    /** Set once at the beginning of a request; null for whoever is not signed in. */
    caller: Caller | null
    /** Who it is now, for answers that go on for long: sessions end and reach changes meanwhile. */
    whoNow: () => Promise<Caller | null>
  }
}

/** @throws ServiceError NOT_SIGNED_IN, where a route that anyone may call needs to know who does */
export function callerOf({ caller }: FastifyRequest): Caller {
  if (caller === null) throw notSignedIn()
  return caller
}

/** Whom the history names for what this request changes. */
export const nameOf = (request: FastifyRequest): string => callerOf(request).name

/** Whether a house is within reach of somebody; `null` stands for things that belong to no house. */
export function reaches({ houses, role }: Caller, house: string | null): boolean {
  if (houses === 'all') return true
  return house === null ? role === 'technician' : houses.has(house)
}
