/** Until people sign in, the service is for this machine alone. */
import type { FastifyInstance } from 'fastify'

/** The address asked for would let others in. */
export class AddressRefused extends Error {
  override name = 'AddressRefused'
}

/** `host` without port; an IPv6 address with or without brackets. */
export const isLoopback = (host: string): boolean => /^(?:localhost|127(?:\.\d{1,3}){3}|\[?::1\]?)$/i.test(host)

/**
 * @returns the address it listens on, such as http://127.0.0.1:8080
 * @throws AddressRefused for any address that others could reach
 */
export async function listen(app: FastifyInstance, { host, port }: { host: string; port: number }): Promise<string> {
  if (!isLoopback(host)) {
    throw new AddressRefused(
      `The service listens on this machine only and refuses the address ${host}: it has no sign-in yet, so anyone who reaches it could change a house. Use 127.0.0.1, and a tunnel to reach it from elsewhere.`,
    )
  }
  return app.listen({ host, port })
}
