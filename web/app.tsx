/** The frame of every page. */
import { useEffect } from 'preact/hooks'
import type { SignInState } from '../server/http/contract/people.ts'
import { useLoad } from './base/load.ts'
import { Awaiting } from './base/parts.tsx'
import { PersonContext, useRememberedPerson } from './base/person.ts'
import { Link, usePlace } from './base/router.tsx'
import { Door } from './door.tsx'
import { Header } from './header.tsx'
import { housePage } from './pages.tsx'

export function App() {
  const person = useRememberedPerson()
  const place = usePlace()
  const where = JSON.stringify(place)
  const asked = useLoad<SignInState>('/api/sign-in')
  const state = asked.body
  // It is on its way while the service still tells who is signed in.
  useEffect(() => {
    if (place.page === 'house') void housePage()
  }, [place.page])
  // A new page is announced by its head, as a page that was loaded would be.
  useEffect(() => document.querySelector<HTMLElement>('h1')?.focus(), [where])
  return (
    <PersonContext.Provider value={person}>
      <a class="skip" href="#content">
        To the content
      </a>
      <Header place={place} signedIn={state} />
      <main id="content">
        {state === null ? (
          <Awaiting loaded={asked} what="who is signed in" again={asked.again} />
        ) : (
          <Door key={state.caller?.id ?? 'nobody'} place={place} state={state} again={asked.again} />
        )}
      </main>
      <footer class="small quiet">
        Humidity loggers do not see carbon monoxide, gas, radon or a live wire. Nothing here replaces the local code,
        the floodplain office or licensed trades.{' '}
        {state?.caller?.role === 'contractor' && (
          <>
            <Link to="/stations">Weather stations</Link> <Link to="/letters">Letters</Link>
          </>
        )}
        {state?.demo && <p>Demo: whoever sits at this machine is the contractor.</p>}
      </footer>
    </PersonContext.Provider>
  )
}
