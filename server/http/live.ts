/** `GET /api/live`: server-sent events of what loggers do, for as long as somebody looks. */

import type { FastifyInstance } from 'fastify'
import type { Caller } from '../people/types.ts'
import { CREW_IN_REACH } from './access.ts'
import { callerOf, reaches } from './caller.ts'
import { ServiceError } from './errors.ts'
import { GUARD_HEADERS } from './guardHeaders.ts'
import { type LiveStream, type LiveStreams, MOST_STREAMS } from './liveStreams.ts'

export interface LiveDeps {
  live: LiveStreams
}

/** Whoever does not read what is sent is let go, and comes again when it can. */
const MOST_UNREAD_BYTES = 8 * 1024 * 1024
const DESCRIPTION =
  'Server-sent events: "loggers" with all at first, then those that changed; "intake" as GET /api/intake.'

export const liveRoutes =
  ({ live }: LiveDeps) =>
  async (app: FastifyInstance): Promise<void> => {
    // Before the sockets are waited for, or whoever looks would hold up the end of the service.
    app.addHook('preClose', async () => live.close())

    app.get(
      '/api/live',
      { exposeHeadRoute: false, config: { access: CREW_IN_REACH }, schema: { description: DESCRIPTION } as object },
      (request, reply) => {
        const { raw } = reply
        const stream: LiveStream = {
          write(text) {
            if (raw.writableLength > MOST_UNREAD_BYTES) raw.destroy()
            else if (!raw.writableEnded) raw.write(text)
          },
          end: () => raw.end(),
        }
        const caller = callerOf(request)
        const withinReach = (caller: Caller) => (house: string | null) => reaches(caller, house)
        const renew = async () => {
          const now = await request.whoNow()
          return now && withinReach(now)
        }
        if (!live.open(stream, withinReach(caller), renew)) {
          throw new ServiceError(
            'TOO_MANY_STREAMS',
            `${MOST_STREAMS} pages look live already, or the service is stopping.`,
            'Close some of them, then load this one again.',
          )
        }
        raw.on('close', () => live.leave(stream))
        reply.hijack() // by hand from here: neither packed nor tagged
        raw.writeHead(200, {
          ...GUARD_HEADERS,
          'content-type': 'text/event-stream; charset=utf-8',
          'cache-control': 'no-store',
          connection: 'close',
        })
        raw.flushHeaders()
      },
    )
  }
