/** Talks to the service: typed answers, and troubles as the sentences the service sent. */
import type { ErrorAnswer } from '../../server/http/contract/error.ts'
import { signedInAgain } from './door.ts'

/** Anything but a success: a code to branch on, a sentence, and what to do about it. */
export class Trouble extends Error {
  override name = 'Trouble'
  readonly status: number
  readonly answer: ErrorAnswer

  constructor(status: number, answer: ErrorAnswer) {
    super(answer.message)
    this.status = status
    this.answer = answer
  }
}

const UNREACHED: ErrorAnswer = {
  code: 'UNREACHED',
  message: 'The service does not answer.',
  hint: 'Check that it runs and that this device has a connection, then try again.',
  where: null,
}

const isError = (value: unknown): value is ErrorAnswer =>
  typeof value === 'object' && value !== null && 'code' in value && 'message' in value

export interface Answer<T> {
  status: number
  body: T
}

/**
 * Where nobody is signed in any more, it waits until somebody is and asks again: what was sent is not lost.
 * @throws Trouble for every answer that is not a success, and when none comes
 */
export async function ask<T>(path: string, init: RequestInit = {}): Promise<Answer<T>> {
  let response: Response
  try {
    response = await fetch(path, init)
  } catch (error) {
    if (init.signal?.aborted) throw error
    throw new Trouble(0, UNREACHED)
  }
  const text = await response.text()
  const body: unknown = text === '' ? null : parsed(text)
  if (response.ok) return { status: response.status, body: body as T }
  if (isError(body) && body.code === 'NOT_SIGNED_IN') {
    await signedInAgain()
    return ask(path, init)
  }
  throw new Trouble(
    response.status,
    isError(body) ? body : { ...UNREACHED, message: `The service answered with ${response.status}.` },
  )
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text)
  } catch {
    return null
  }
}

export const get = async <T>(path: string, signal?: AbortSignal): Promise<T> => (await ask<T>(path, { signal })).body

/** The same for bodies of JSON. */
export async function send<T>(
  method: 'POST' | 'PUT' | 'PATCH' | 'DELETE',
  path: string,
  body?: unknown,
  signal?: AbortSignal,
): Promise<T> {
  const init: RequestInit = { method, signal }
  if (body !== undefined) {
    init.body = JSON.stringify(body)
    init.headers = { 'content-type': 'application/json' }
  }
  return (await ask<T>(path, init)).body
}

/** The path of a house's resource. */
export const ofHouse = (key: string, rest = ''): string => `/api/houses/${encodeURIComponent(key)}${rest}`
