/** Who is signed in, as the service says, and what the pages show each role. The service decides; this only spares dead ends. */
import { createContext } from 'preact'
import { useContext } from 'preact/hooks'
import type { CallerAnswer, SignInState } from '../../server/http/contract/people.ts'
import type { Role } from '../../server/http/contract/words.ts'
import type { Place } from './router.tsx'

export interface SignedIn extends SignInState {
  caller: CallerAnswer
  /** Asks the service who is signed in now. */
  again: () => void
}

export const CallerContext = createContext<SignedIn | null>(null)

/** For pages that stand behind the door. */
export function useCaller(): SignedIn {
  const signedIn = useContext(CallerContext)
  if (signedIn === null) throw new Error('This page is shown to nobody who is not signed in.')
  return signedIn
}

type PageName = Place['page']
const FOR_CONTRACTORS: ReadonlySet<PageName> = new Set(['people', 'house people', 'stations', 'new house'])
const FOR_OWNERS: ReadonlySet<PageName> = new Set(['owner', 'account', 'round'])

/** Whether a page has something for a role. */
export function hasPage(role: Role, page: PageName): boolean {
  if (role === 'owner') return FOR_OWNERS.has(page)
  if (page === 'owner') return false
  return role === 'contractor' || !FOR_CONTRACTORS.has(page)
}
