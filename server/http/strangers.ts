/** There is no sign-in yet: whoever asks must be this machine, and so must the page that asks for them. */
import type { FastifyRequest } from 'fastify'
import { ServiceError } from './errors.ts'
import { isLoopback } from './loopback.ts'

/** @throws ServiceError WRONG_HOST */
export function refuseStrangers({ hostname, method, headers: { origin } }: FastifyRequest): void {
  // A page elsewhere could point its own host name at this machine; its requests name that host.
  if (!isLoopback(hostname)) {
    throw new ServiceError(
      'WRONG_HOST',
      `This service answers on this machine only, and was asked for as "${hostname}".`,
      'Open it as http://127.0.0.1 with its port.',
      'header host',
    )
  }
  // A form on such a page can be sent here under our own name; its browser then says where it came from.
  if (origin === undefined || method === 'GET' || method === 'HEAD' || isLoopback(hostOf(origin))) return
  throw new ServiceError(
    'WRONG_HOST',
    `A page at "${origin}" tried to change something here.`,
    'Open the pages as http://127.0.0.1 with its port, and do it there.',
    'header origin',
  )
}

function hostOf(origin: string): string {
  try {
    return new URL(origin).hostname
  } catch {
    return '' // "null": a page that hides where it is from
  }
}
