/** What the log tells of a request: an address that is a secret does not get there. */
import type { FastifyRequest, FastifyServerOptions } from 'fastify'

const SECRET_PATHS = /^\/stop\/[^?]*/

export const withoutSecrets = (url: string): string => url.replace(SECRET_PATHS, '/stop/…').split('#')[0]!

/** As fastify itself tells of requests, but for secrets. */
export function loggerOf(logger: FastifyServerOptions['logger']): FastifyServerOptions['logger'] {
  if (!logger) return false
  const serializers = {
    req: ({ method, url, host, ip, socket }: FastifyRequest) => ({
      method,
      url: withoutSecrets(url),
      host,
      remoteAddress: ip,
      remotePort: socket?.remotePort,
    }),
  }
  return logger === true ? { serializers } : { ...logger, serializers }
}
