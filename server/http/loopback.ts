/** Beyond this machine the service listens only once people sign in, and only where TLS carries their passwords. */
import type { FastifyInstance } from 'fastify'
import { isLoopback } from '../ingest/thisMachine.ts'

/** The address asked for would let others in. */
export class AddressRefused extends Error {
  override name = 'AddressRefused'
}

/** Whether others may reach the service at all. */
export interface Openness {
  /** The firm has an account, so that strangers are asked who they are. */
  begun: boolean
  /** The address people open. */
  publicUrl: string
}

/**
 * @param open null where nobody signs in, as for the demo: then for this machine alone
 * @returns the address it listens on, such as http://127.0.0.1:8080
 * @throws AddressRefused for an address that others could reach too early
 */
export async function listen(
  app: FastifyInstance,
  { host, port }: { host: string; port: number },
  open: Openness | null,
): Promise<string> {
  if (!isLoopback(host)) {
    refuseUnlessBegun('The service', host, open)
    if (!open!.publicUrl.startsWith('https:')) {
      throw new AddressRefused(
        `The service refuses the address ${host}: passwords would go over the network for anyone to read. Put a TLS proxy in front of it and set PUBLIC_URL to the https address that people open; where the proxy is on this machine, leave HOST away.`,
      )
    }
  }
  return app.listen({ host, port })
}

/**
 * Our own broker asks each logger for its secret, but whoever came first to a service without an account could enroll some.
 * @throws AddressRefused
 */
export function refuseOpenBroker(host: string, open: Openness | null): void {
  if (!isLoopback(host)) refuseUnlessBegun('The broker for loggers', host, open)
}

function refuseUnlessBegun(what: string, host: string, open: Openness | null): void {
  if (open?.begun) return
  const why = `${what} listens on this machine only and refuses the address ${host}:`
  throw new AddressRefused(
    open === null
      ? `${why} nobody signs in here, so anyone who reached it could change a house. Use 127.0.0.1.`
      : `${why} there is no account yet, so nobody would have to sign in. Make one with \`underjoist person add --role contractor\`, or start it with 127.0.0.1 first, open it on this machine and enter the code that it prints.`,
  )
}
