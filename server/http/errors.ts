/** Every error code the service answers with, and the one way from a thrown error to an answer. */
import type { FastifyError } from 'fastify'
import { StoreError } from '../store/errors.ts'
import type { ErrorAnswer } from './contract/error.ts'

/** Stable: programs branch on these. `means` is for the people who write such programs. */
export const CODES = {
  BAD_REQUEST: { status: 400, means: 'a part of the request has the wrong form; `where` names it' },
  BAD_SPAN: { status: 400, means: 'the span of time asked for is empty' },
  BAD_FORM: { status: 400, means: 'the form with files ended early, or is none' },
  BAD_JSON: { status: 400, means: 'the body is not JSON' },
  TOO_SLOW: { status: 408, means: 'the request did not arrive in time' },
  NOT_SIGNED_IN: { status: 401, means: 'nobody is signed in, and the address is not for everybody' },
  SIGN_IN_REFUSED: { status: 401, means: 'the e-mail address and the password do not belong together' },
  BAD_LINK: { status: 401, means: 'the link was not made here, is over, or was taken back' },
  NOT_ALLOWED: { status: 403, means: 'whoever is signed in may not do this; the message says why' },
  WRONG_HOST: {
    status: 403,
    means: 'the request names another host than this service has, or comes from a foreign page',
  },
  NOT_FOUND: { status: 404, means: 'there is no such address' },
  UNKNOWN_PROBE: { status: 404, means: 'no probe has this number' },
  UNKNOWN_HOUSE: { status: 404, means: 'no house has this number or key' },
  UNKNOWN_STATION: { status: 404, means: 'no station has this key' },
  UNKNOWN_IMPORT: { status: 404, means: 'no import has this number' },
  BAD_THRESHOLD: {
    status: 409,
    means: 'a threshold that the firm or the house set for itself does not hold; the message names it',
  },
  UNKNOWN_LOGGER: { status: 404, means: 'no logger has this key or code' },
  UNKNOWN_MESSAGE: { status: 404, means: 'no refused message has this number; somebody has looked at it' },
  UNKNOWN_PHOTO: { status: 404, means: 'no photo of any house has this hash' },
  UNKNOWN_FILE: { status: 404, means: 'the file was dropped longer than a day ago, or never' },
  UNKNOWN_NOTICE: { status: 404, means: 'no notice has this number' },
  UNKNOWN_LETTER: { status: 404, means: 'no letter has this number, or it cannot be sent again' },
  UNKNOWN_CHECK: { status: 404, means: 'no check of probes has this number' },
  CHECK_NOT_READY: { status: 409, means: 'the check cannot be ended like this now; the message says why' },
  BAD_CHECK: { status: 422, means: 'the check cannot begin as asked; the message says why' },
  UNKNOWN_PERSON: { status: 404, means: 'there is no such person, session, token or link' },
  EMAIL_TAKEN: { status: 409, means: 'somebody has this e-mail address already' },
  LAST_CONTRACTOR: { status: 409, means: 'the firm would have no contractor left who can sign in' },
  BAD_CODE: { status: 422, means: 'the code is unknown, was used, or is over' },
  WEAK_PASSWORD: { status: 422, means: 'the password is too short, or one that is guessed first' },
  BAD_PERSON: { status: 422, means: 'the person was not stored; the message says why' },
  KEY_TAKEN: { status: 409, means: 'there is a house of this key already' },
  LOGGER_TAKEN: { status: 409, means: 'there is a logger of this key already, or the key cannot be given' },
  LOGGER_RETIRED: { status: 409, means: 'the logger is out of service' },
  NOT_INSIDE: { status: 409, means: 'nobody is known to be under the house who could come out' },
  CHANGED_MEANWHILE: { status: 409, means: 'somebody else changed the house since it was read; nothing was stored' },
  SUPERSEDED: { status: 409, means: 'a newer what-if of the same asker took its place before it began' },
  CANNOT_UNDO: { status: 409, means: 'the change cannot be put back; the message says why' },
  BAD_HOUSE: { status: 422, means: 'the house was not stored; `problems` names each field' },
  BAD_STATION: { status: 422, means: 'the station was not stored, or cannot do what was asked; the message says why' },
  STATION_IN_USE: { status: 409, means: 'houses use the station; it is taken from them first' },
  NOT_FETCHED: { status: 502, means: "nothing usable came from the station's address; the message says why" },
  BAD_PLACEMENT: {
    status: 422,
    means: 'the logger cannot hang there, or from then on; `where` names the part, nothing was changed',
  },
  BAD_PHOTO: { status: 422, means: 'the file is no JPEG, PNG or WebP picture' },
  BAD_DESTINATION: { status: 422, means: 'where the readings of a file belong is not there, or was not said' },
  NOT_UNDERSTOOD: { status: 422, means: 'the file cannot be stored before a question about it is answered' },
  TOO_LARGE: { status: 413, means: 'the body is larger than the service takes at once' },
  NOT_A_FORM: { status: 415, means: 'files are sent as a form with one part a file' },
  NOT_JSON: { status: 415, means: 'the body is marked as something else than JSON' },
  TOO_MANY: {
    status: 429,
    means: 'too much that costs much from one address; the header retry-after says for how long',
  },
  HEADERS_TOO_LARGE: { status: 431, means: 'the headers of the request are larger than the service takes' },
  UNEXPECTED: { status: 500, means: 'a fault of the program; the log says more' },
  BUSY: { status: 503, means: 'another program keeps the database locked; nothing was stored' },
  CROWDED: { status: 503, means: 'too many what-ifs wait already' },
  TOO_MANY_STREAMS: { status: 503, means: 'too many pages look live already' },
  NOT_READY: { status: 503, means: 'the service runs but cannot do its work' },
  DISK_FULL: { status: 507, means: 'the disk is full; what was acknowledged before is safe' },
} as const satisfies Record<string, { status: number; means: string }>

export type Code = keyof typeof CODES

/** What a handler throws: `message` says what, `hint` what to do, `where` which part of the request. */
export class ServiceError extends Error {
  override name = 'ServiceError'
  readonly code: Code
  readonly hint: string
  readonly where: string | null

  constructor(code: Code, message: string, hint: string, where: string | null = null) {
    super(message)
    this.code = code
    this.hint = hint
    this.where = where
  }
}

const OF_STORE = {
  'unknown probe': 'UNKNOWN_PROBE',
  'unknown house': 'UNKNOWN_HOUSE',
  'disk full': 'DISK_FULL',
  busy: 'BUSY',
} as const satisfies Record<StoreError['kind'], Code>

/** @returns null for what nobody foresaw: its text may hold anything and is for the log alone */
export function toServiceError(error: unknown): ServiceError | null {
  if (error instanceof ServiceError) return error
  if (error instanceof StoreError) return new ServiceError(OF_STORE[error.kind], error.message, error.hint)
  // By name: an error that crossed a worker thread has lost its class.
  if (error instanceof Error && error.name === 'ThresholdError') {
    return new ServiceError('BAD_THRESHOLD', error.message, 'Correct the settings of the firm or the house.')
  }
  const raised = error as Partial<FastifyError>
  const problem = raised.validation?.[0]
  if (problem !== undefined) return badPart(`${raised.validationContext ?? ''}${problem.instancePath}`, problem)
  switch (raised.code) {
    case 'FST_FILES_LIMIT':
    case 'FST_REQ_FILE_TOO_LARGE':
      return new ServiceError('TOO_LARGE', 'Too many files, or one too large.', 'Send them in smaller parts.', 'body')
    case 'FST_ERR_CTP_BODY_TOO_LARGE':
      return new ServiceError('TOO_LARGE', 'The body is too large.', 'Send fewer readings at once.', 'body')
    case 'FST_ERR_CTP_INVALID_MEDIA_TYPE':
      return new ServiceError(
        'NOT_JSON',
        'The body is not marked as JSON.',
        'Send the header content-type: application/json.',
        'header content-type',
      )
    case 'FST_ERR_CTP_EMPTY_JSON_BODY':
    case 'FST_ERR_CTP_INVALID_JSON_BODY':
      return new ServiceError('BAD_JSON', 'The body is not JSON.', 'Check its brackets, quotes and commas.', 'body')
    default:
      return null
  }
}

function badPart(where: string, problem: { message?: string; params: Record<string, unknown> }): ServiceError {
  const extra = problem.params.additionalProperty
  if (typeof extra === 'string') {
    return new ServiceError(
      'BAD_REQUEST',
      `There is no field "${extra}" here.`,
      'Look at its spelling and its unit; fields are named with their unit, such as tempC.',
      where,
    )
  }
  return new ServiceError(
    'BAD_REQUEST',
    `${where} ${problem.message ?? 'has the wrong form'}.`,
    'Correct it and send again.',
    where,
  )
}

export const toAnswer = (error: ServiceError): ErrorAnswer => ({
  code: error.code,
  message: error.message,
  hint: error.hint,
  where: error.where,
})
