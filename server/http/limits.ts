/** How much and how long one request may be, and what is answered where no route has been reached yet. */
import type { Server } from 'node:http'
import type { Socket } from 'node:net'
import type { FastifyHttpOptions, FastifyReply } from 'fastify'
import { CODES, ServiceError, toAnswer } from './errors.ts'
import { GUARD_HEADERS } from './guardHeaders.ts'

/** All in milliseconds. */
export interface Patience {
  /** For the headers of a request. */
  headersMs: number
  /** For the whole of a request: 200 MB from a phone in the field take minutes. */
  requestMs: number
  /** For a connection on which nothing moves, also while an answer is worked out. */
  silentMs: number
  /** For the next request on a connection. */
  keepAliveMs: number
  /** How often the first two are looked at. */
  lookMs: number
}

export const USUAL_PATIENCE: Patience = {
  headersMs: 20_000,
  requestMs: 10 * 60_000,
  silentMs: 3 * 60_000,
  keepAliveMs: 72_000,
  lookMs: 10_000,
}

/** Of a body, unless its route declares another. */
const BODY_BYTES = 1024 * 1024
const HEADER_BYTES = 16 * 1024
/** A photo's hash has 64 characters, a name in an address at most 100. */
const PARAM_CHARACTERS = 100

export const serverLimits = ({ headersMs, requestMs, silentMs, keepAliveMs, lookMs }: Patience) =>
  ({
    bodyLimit: BODY_BYTES,
    requestTimeout: requestMs,
    connectionTimeout: silentMs,
    keepAliveTimeout: keepAliveMs,
    http: { headersTimeout: headersMs, connectionsCheckingInterval: lookMs, maxHeaderSize: HEADER_BYTES },
    routerOptions: { maxParamLength: PARAM_CHARACTERS },
    frameworkErrors: (error, _request, reply) => void answerBadAddress(error, reply as unknown as FastifyReply),
    clientErrorHandler: (error, socket) => answerRaw(error, socket as Socket),
  }) satisfies FastifyHttpOptions<Server>

/** The router could not read the address; no hook has run. */
function answerBadAddress({ code }: { code?: string }, reply: FastifyReply): void {
  const known =
    code === 'FST_ERR_MAX_PARAM_LENGTH'
      ? new ServiceError('NOT_FOUND', 'A name in the address is too long to be of anything here.', 'Check the address.')
      : new ServiceError('BAD_REQUEST', 'The address is not well formed.', 'Encode each part of it as UTF-8.', 'url')
  reply.headers({ ...GUARD_HEADERS, 'cache-control': 'no-store' })
  reply.status(CODES[known.code].status).send(toAnswer(known))
}

/** What came is no request at all, or not one in time: there is only the socket to answer on. */
function answerRaw(error: NodeJS.ErrnoException, socket: Socket): void {
  if (error.code === 'ECONNRESET' || socket.destroyed) return
  const known = inWords(error.code)
  const body = JSON.stringify(toAnswer(known))
  const headers = {
    ...GUARD_HEADERS,
    'cache-control': 'no-store',
    'content-type': 'application/json; charset=utf-8',
    'content-length': Buffer.byteLength(body),
    connection: 'close',
  }
  const lines = Object.entries(headers).map(([name, value]) => `${name}: ${value}\r\n`)
  if (socket.writable) socket.write(`HTTP/1.1 ${CODES[known.code].status} \r\n${lines.join('')}\r\n${body}`)
  socket.destroySoon()
}

function inWords(code: string | undefined): ServiceError {
  if (code === 'ERR_HTTP_REQUEST_TIMEOUT') {
    return new ServiceError('TOO_SLOW', 'The request did not arrive in time.', 'Send it again, in smaller parts.')
  }
  if (code === 'HPE_HEADER_OVERFLOW') {
    return new ServiceError(
      'HEADERS_TOO_LARGE',
      `The headers of the request are larger than ${HEADER_BYTES / 1024} kB.`,
      'Clear the cookies of this address, then try again.',
      'headers',
    )
  }
  return new ServiceError('BAD_REQUEST', 'What was sent is no HTTP request.', 'Use a browser or an HTTP client.')
}
