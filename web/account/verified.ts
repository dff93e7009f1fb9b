/** Whether a browser kept the cookie that it was given: one that does not would ask to sign in for ever. */
import type { SignInState } from '../../server/http/contract/people.ts'
import { get, Trouble } from '../base/api.ts'

/** @throws Trouble */
export async function verified(): Promise<SignInState> {
  const state = await get<SignInState>('/api/sign-in')
  if (state.caller !== null) return state
  throw new Trouble(401, {
    code: 'NO_COOKIE',
    message: 'This browser did not keep the cookie that says who is signed in.',
    hint: `Open the pages as ${state.origin ?? location.origin}, and let this address keep cookies.`,
    where: null,
  })
}
