/** What is answered to those who may not. */
import { ServiceError } from './errors.ts'

export const notSignedIn = (): ServiceError =>
  new ServiceError('NOT_SIGNED_IN', 'Nobody is signed in.', 'Sign in, or send an API token as "Bearer".')

export const notAllowed = (why: string): ServiceError =>
  new ServiceError('NOT_ALLOWED', why, 'Ask the contractor who runs this service.')

/** From another page than our own: a browser sends its cookies along, and its person knows nothing of it. */
export const foreignPage = (origin: string): ServiceError =>
  new ServiceError(
    'WRONG_HOST',
    `A page at "${origin}" tried to change something here.`,
    'Open the pages at their own address, and do it there.',
    'header origin',
  )
