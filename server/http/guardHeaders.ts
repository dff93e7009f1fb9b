/** Headers that tell a browser what it must never do with an answer; they are on every one, errors too. */
import type { FastifyInstance } from 'fastify'

/** For what is no page: nothing of it runs, loads or is framed, should a browser ever show it as one. */
const NOTHING_RUNS = "default-src 'none'; frame-ancestors 'none'"

/** For pages: only what comes from here runs; a style may be set on an element, as drawings do. */
export const PAGE_POLICY = [
  "default-src 'self'",
  "style-src 'self' 'unsafe-inline'",
  "img-src 'self' data: blob:",
  "object-src 'none'",
  "base-uri 'none'",
  "form-action 'self'",
  "frame-ancestors 'none'",
].join('; ')

/**
 * Strict-Transport-Security is not among them: the service speaks plain HTTP, where browsers ignore it, and the proxy that
 * adds TLS in front of it knows for which names it may promise TLS.
 */
export const GUARD_HEADERS: Readonly<Record<string, string>> = {
  'content-security-policy': NOTHING_RUNS,
  'x-content-type-options': 'nosniff',
  'x-frame-options': 'DENY',
  'referrer-policy': 'no-referrer',
  'cross-origin-opener-policy': 'same-origin',
  'cross-origin-resource-policy': 'same-origin',
  // The camera takes photos of loggers and reads their labels.
  'permissions-policy': 'camera=(self), microphone=(), geolocation=(), payment=(), usb=()',
}

/** Must come before everything that answers. */
export function guardAnswers(app: FastifyInstance): void {
  app.addHook('onRequest', async (_, reply) => void reply.headers(GUARD_HEADERS))
  app.addHook('onSend', async (_, reply, payload) => {
    if (reply.getHeader('cache-control') === undefined) reply.header('cache-control', 'no-store')
    return payload
  })
}
