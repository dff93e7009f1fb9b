/** What stands behind the door, or the door: signing in, the first run, a link, a session that ended while at work. */
import { lazy, Suspense } from 'preact/compat'
import { useCallback, useEffect } from 'preact/hooks'
import type { CallerAnswer, SignInState } from '../server/http/contract/people.ts'
import { CallerContext, hasPage } from './base/caller.ts'
import { openDoor, useShut } from './base/door.ts'
import { goTo, type Place } from './base/router.tsx'
import { NoSuchPage, Page } from './pages.tsx'

const SignInPage = lazy(() => import('./account/signIn.tsx'))
const FirstPage = lazy(() => import('./account/first.tsx'))
const ForgotPage = lazy(() => import('./account/forgot.tsx'))
const PasswordPage = lazy(() => import('./account/password.tsx'))
const OwnerDoor = lazy(() => import('./account/ownerDoor.tsx'))

const Loading = <p class="quiet">Loading the page.</p>

interface Given {
  place: Place
  state: SignInState
  /** Asks the service who is signed in now. */
  again: () => void
}

export function Door({ place, state, again }: Given) {
  const { caller, begun, demo } = state
  const { page } = place
  const before = caller?.id ?? null
  const onSignedIn = useCallback(
    ({ caller: now }: SignInState) => {
      // Nobody goes back to where they came in.
      if (page === 'first' || page === 'password' || page === 'forgot') goTo('/', { inPlace: true })
      // What was loaded and typed belongs to whoever was here before.
      if (before !== null && now?.id !== before) return location.reload()
      openDoor()
      again()
    },
    [page, before, again],
  )
  const inside =
    caller === null ? null : (
      <Inside place={place} state={state} caller={caller} again={again} onSignedIn={onSignedIn} />
    )
  return (
    <Suspense fallback={Loading}>
      {demo ? (
        (inside ?? <p>The demo is shown at its own machine alone.</p>)
      ) : page === 'password' ? (
        <PasswordPage onSignedIn={onSignedIn} />
      ) : !begun ? (
        <FirstPage onSignedIn={onSignedIn} />
      ) : page === 'owner' ? (
        <OwnerDoor caller={caller} onSignedIn={onSignedIn}>
          {inside ?? <SignInPage over={null} onSignedIn={onSignedIn} />}
        </OwnerDoor>
      ) : (
        (inside ?? (page === 'forgot' ? <ForgotPage /> : <SignInPage over={null} onSignedIn={onSignedIn} />))
      )}
    </Suspense>
  )
}

function Inside({
  place,
  state,
  caller,
  again,
  onSignedIn,
}: Given & { caller: CallerAnswer; onSignedIn: (state: SignInState) => void }) {
  const shut = useShut()
  const home = caller.role === 'owner' && place.page === 'round'
  useEffect(() => {
    if (home) goTo('/owner', { inPlace: true })
  }, [home])
  const shown = hasPage(caller.role, place.page) && !(state.demo && OF_ACCOUNTS.has(place.page))
  return (
    <CallerContext.Provider value={{ ...state, caller, again }}>
      {shut && (
        <Suspense fallback={Loading}>
          {caller.via === 'link' ? <LinkEnded /> : <SignInPage over={caller.name} onSignedIn={onSignedIn} />}
        </Suspense>
      )}
      {/* Kept as it is while it is shut, with all that was typed. */}
      <div hidden={shut}>
        <Suspense fallback={Loading}>
          {shown ? <Page key={JSON.stringify(place)} place={place} /> : <NoSuchPage />}
        </Suspense>
      </div>
    </CallerContext.Provider>
  )
}

/** The demo has none. */
const OF_ACCOUNTS: ReadonlySet<Place['page']> = new Set(['people', 'house people', 'account'])

function LinkEnded() {
  return (
    <>
      <h1 tabIndex={-1}>Your link has ended</h1>
      <p>
        It was taken back, or its time is over. Ask your contractor for a new one; the readings of your house are kept.
      </p>
    </>
  )
}
