/**
 * One text from an address that the firm configured. Asked over https, of public machines alone: the name is looked up
 * here, its addresses are judged, and the very address that was judged is the one connected to, also after each redirect.
 * http is for a gateway on this very machine. What comes is counted while it streams, unpacked too.
 */
import { lookup as lookUpName } from 'node:dns/promises'
import { request as httpRequest, type IncomingMessage } from 'node:http'
import { request as httpsRequest } from 'node:https'
import { isIP, type LookupFunction } from 'node:net'
import { pipeline, type Readable } from 'node:stream'
import { createGunzip } from 'node:zlib'
import { isLoopbackAddress } from '../thisMachine.ts'
import { isPublicAddress } from './addresses.ts'
import { namesThisMachine, urlProblem } from './stationUrl.ts'

export interface FetchAsked {
  url: string
  /** Entity tag of what is here already. */
  tag?: string | null
  signal?: AbortSignal
}

export type FetchedText =
  | { state: 'unchanged' }
  /** `name` is for people and holds no secret. */
  | { state: 'text'; bytes: Buffer; tag: string | null; name: string }

export interface FetchLimits {
  timeoutMs: number
  maxBytes: number
  /** Addresses of a name; tests give their own. */
  resolve: (name: string) => Promise<string[]>
}

/** Nothing usable came; the message is a sentence without secrets: what, where, how to fix. */
export class FetchRefused extends Error {
  override name = 'FetchRefused'
}

export const MOST_BYTES = 20 * 1024 * 1024
const MOST_REDIRECTS = 3
const LIMITS: FetchLimits = {
  timeoutMs: 30_000,
  maxBytes: MOST_BYTES,
  resolve: async (name) => (await lookUpName(name, { all: true })).map(({ address }) => address),
}

/** @throws FetchRefused */
export async function fetchText(asked: FetchAsked, given: Partial<FetchLimits> = {}): Promise<FetchedText> {
  const limits = { ...LIMITS, ...given }
  const late = AbortSignal.timeout(limits.timeoutMs)
  const signal = asked.signal ? AbortSignal.any([asked.signal, late]) : late
  let url = new URL(asked.url)
  // The exception for this machine is for what a person wrote, never for where somebody else sends us.
  const thisMachine = namesThisMachine(url)
  try {
    for (let redirects = 0; ; redirects++) {
      const response = await ask(url, await placeOf(url, thisMachine, limits, signal), asked.tag ?? null, signal)
      const next = redirectOf(response, url)
      if (next === null) return await textOf(response, url, limits.maxBytes)
      response.destroy()
      if (redirects === MOST_REDIRECTS) {
        throw new FetchRefused(
          `${url.host} sends on from address to address more than ${MOST_REDIRECTS} times. Enter the address that holds the table.`,
        )
      }
      url = next
    }
  } catch (error) {
    if (late.aborted && !asked.signal?.aborted) {
      throw new FetchRefused(
        `${url.host} took longer than ${limits.timeoutMs / 1000} s. It is tried again later; a shorter span answers sooner.`,
      )
    }
    throw error instanceof FetchRefused || asked.signal?.aborted ? error : inSentence(error, url)
  }
}

/** The one address that will be connected to. */
async function placeOf(url: URL, thisMachine: boolean, { resolve }: FetchLimits, signal: AbortSignal): Promise<string> {
  const problem = urlProblem(url)
  if (problem !== null) throw new FetchRefused(problem)
  const name = url.hostname.replace(/^\[|\]$/g, '')
  const addresses = isIP(name) ? [name] : await unlessAborted(resolve(name), signal)
  const isRight = namesThisMachine(url) ? isLoopbackAddress : isPublicAddress
  // One bad address among good ones is a name that somebody tries to turn against this network.
  if (addresses.length === 0 || !addresses.every(isRight) || (namesThisMachine(url) && !thisMachine)) {
    throw new FetchRefused(
      `${url.host} leads into a private network or to this machine, where nothing is fetched from. Use the public address of the service; http://127.0.0.1 reaches a gateway on this machine.`,
    )
  }
  return addresses[0]!
}

function unlessAborted<T>(promise: Promise<T>, signal: AbortSignal): Promise<T> {
  return new Promise((resolve, reject) => {
    signal.addEventListener('abort', () => reject(signal.reason), { once: true })
    promise.then(resolve, reject)
  })
}

function ask(url: URL, address: string, tag: string | null, signal: AbortSignal): Promise<IncomingMessage> {
  const pinned: LookupFunction = (_name, options, done) => {
    const family = isIP(address)
    if (options.all) done(null, [{ address, family }])
    else done(null, address, family)
  }
  const options = {
    lookup: pinned,
    agent: false, // a kept connection could lead elsewhere than the address that was judged
    signal,
    headers: {
      accept: 'text/csv, text/plain;q=0.9, */*;q=0.5',
      'accept-encoding': 'gzip',
      'user-agent': 'underjoist',
      ...(tag !== null && { 'if-none-match': tag }),
    },
  } as const
  return new Promise((resolve, reject) => {
    const request = url.protocol === 'https:' ? httpsRequest(url, options) : httpRequest(url, options)
    request.on('response', resolve).on('error', reject).end()
  })
}

function redirectOf({ statusCode = 0, headers }: IncomingMessage, from: URL): URL | null {
  if (![301, 302, 303, 307, 308].includes(statusCode) || headers.location === undefined) return null
  try {
    return new URL(headers.location, from)
  } catch {
    throw new FetchRefused(
      `${from.host} sends on to something that is no address. Enter the address that holds the table.`,
    )
  }
}

async function textOf(response: IncomingMessage, url: URL, maxBytes: number): Promise<FetchedText> {
  const { statusCode = 0, headers } = response
  if (statusCode === 304) {
    response.destroy()
    return { state: 'unchanged' }
  }
  if (statusCode !== 200) {
    response.destroy()
    throw new FetchRefused(`${url.host} answered ${statusCode}: ${statusHint(statusCode)}`)
  }
  if (/^(?:text\/html|application\/xhtml)/i.test(headers['content-type'] ?? '')) {
    response.destroy()
    throw new FetchRefused(
      `${url.host} answers with a web page and not with a table. Enter the address of its CSV export.`,
    )
  }
  const tooLarge = () =>
    new FetchRefused(
      `${url.host} sends more than ${Math.round(maxBytes / 1024 / 1024)} MB at once. Ask for a shorter span, with {from} and {to} in the address.`,
    )
  if (Number(headers['content-length'] ?? 0) > maxBytes) {
    response.destroy()
    throw tooLarge()
  }
  const bytes = await bytesOf(response, maxBytes, tooLarge)
  return { state: 'text', bytes, tag: headers.etag ?? null, name: nameOf(url) }
}

async function bytesOf(response: IncomingMessage, maxBytes: number, tooLarge: () => Error): Promise<Buffer> {
  let received = 0
  // Packed bytes are counted too: a stream of empty blocks unpacks to nothing and never ends.
  response.on('data', (chunk: Buffer) => {
    received += chunk.length
    if (received > maxBytes) response.destroy(tooLarge())
  })
  const chunks: Buffer[] = []
  let unpacked = 0
  for await (const chunk of unpackedOf(response)) {
    chunks.push(chunk as Buffer)
    unpacked += (chunk as Buffer).length
    if (unpacked > maxBytes) throw tooLarge()
  }
  return Buffer.concat(chunks)
}

function unpackedOf(response: IncomingMessage): Readable {
  const packing = response.headers['content-encoding'] ?? 'identity'
  if (packing === 'identity') return response
  if (packing !== 'gzip' && packing !== 'x-gzip') {
    response.destroy()
    throw new FetchRefused(`The answer is packed as ${packing.slice(0, 20)}, and only gzip was asked for.`)
  }
  const gunzip = createGunzip()
  pipeline(response, gunzip, () => {}) // its failures reach whoever reads `gunzip`
  return gunzip
}

/** Such as "weather.example.csv": never anything of the address that could be a key. */
const nameOf = (url: URL): string => `${url.hostname.replaceAll(/[^\w.-]/g, '')}.csv`

function statusHint(status: number): string {
  if (status === 401 || status === 403)
    return 'it does not accept the key in the address. Enter the address anew with a key that holds.'
  if (status === 404 || status === 410) return 'there is nothing at this address. Check it in a browser.'
  if (status === 429) return 'it was asked too often. Fetch less often.'
  if (status >= 500) return 'it has a fault of its own. It is tried again later.'
  return 'no table came. Check the address in a browser.'
}

function inSentence(error: unknown, { host }: URL): FetchRefused {
  const { code, message } = error as { code?: string; message?: string }
  const why = (sentence: string) => new FetchRefused(sentence, { cause: error })
  switch (code) {
    case 'ENOTFOUND':
    case 'EAI_AGAIN':
      return why(`The name ${host} cannot be looked up. Check the address, and that this machine is connected.`)
    case 'ECONNREFUSED':
    case 'EHOSTUNREACH':
    case 'ENETUNREACH':
      return why(`${host} cannot be reached. Check the address, and that this machine is connected.`)
    case 'CERT_HAS_EXPIRED':
      return why(`The certificate of ${host} has expired. Tell the service; it is tried again later.`)
    case 'Z_DATA_ERROR':
    case 'Z_BUF_ERROR':
      return why(`What ${host} sent cannot be unpacked. It is tried again later.`)
  }
  if (/certificate|altname|self.signed/i.test(`${code} ${message}`)) {
    return why(
      `The certificate of ${host} does not hold for it, so whoever answers may be somebody else. Check the address.`,
    )
  }
  return why(`The connection to ${host} broke off. It is tried again later.`)
}
