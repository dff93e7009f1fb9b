/** A request must name a host that is this service, and what changes something must come from one of its own pages. */
import type { FastifyRequest } from 'fastify'
import { isLoopback } from '../ingest/thisMachine.ts'
import { ServiceError } from './errors.ts'
import { foreignPage } from './refusals.ts'

/**
 * A page elsewhere could point its own host name at this machine; its requests name that host.
 * @param publicUrl the address people open, when others than this machine may
 * @throws ServiceError WRONG_HOST
 */
export function refuseWrongHost({ hostname }: FastifyRequest, publicUrl: string | null): void {
  if (isLoopback(hostname)) return
  const own = publicUrl === null ? null : new URL(publicUrl)
  if (own !== null && own.hostname === hostname.toLowerCase()) return
  throw new ServiceError(
    'WRONG_HOST',
    `This service was asked for as "${hostname}", which is not its name.`,
    own === null ? 'Open it as http://127.0.0.1 with its port.' : `Open it as ${own.origin}.`,
    'header host',
  )
}

/** A browser says where a request comes from; whoever sends a cookie along without saying so is no browser of ours. */
export function fromOurPages({ headers, host, protocol }: FastifyRequest, publicUrl: string): void {
  const { origin } = headers
  if (origin === undefined) {
    if (headers['sec-fetch-site'] === 'same-origin') return
    throw foreignPage('an unknown address')
  }
  if (origin !== new URL(publicUrl).origin && origin !== `${protocol}://${host}`) throw foreignPage(origin)
}

/** The same before anybody is signed in, when programs may come as well: they say nothing of where they are from. */
export function notFromForeignPages(request: FastifyRequest, publicUrl: string): void {
  const { origin, 'sec-fetch-site': site } = request.headers
  if (origin !== undefined || site !== undefined) fromOurPages(request, publicUrl)
}

/** The same where nobody signs in: a form on a foreign page can be sent here under our own name. */
export function refuseForeignPage({ method, headers: { origin } }: FastifyRequest): void {
  if (origin === undefined || method === 'GET' || method === 'HEAD' || isLoopback(hostOf(origin))) return
  throw foreignPage(origin)
}

/** What came through a proxy comes from who knows where, whatever the connection says. */
export const cameFromAfar = ({ ip, headers }: FastifyRequest): boolean =>
  !isLoopback(ip.replace(/^::ffff:/, '')) ||
  ['forwarded', 'x-forwarded-for', 'x-forwarded-host', 'x-real-ip', 'via'].some((name) => headers[name] !== undefined)

function hostOf(origin: string): string {
  try {
    return new URL(origin).hostname
  } catch {
    return '' // "null": a page that hides where it is from
  }
}
