/** The head of every page: where one can go, who is signed in, in which units. */
import { useState } from 'preact/hooks'
import type { CallerAnswer, SignInState } from '../server/http/contract/people.ts'
import { UNITS } from '../server/http/contract/words.ts'
import { send, Trouble } from './base/api.ts'
import { usePerson } from './base/person.ts'
import { Link, type Place } from './base/router.tsx'

const ABOUT_LOGGERS: ReadonlySet<Place['page']> = new Set(['loggers', 'enroll', 'labels', 'logger', 'live'])

export function Header({ place, signedIn }: { place: Place; signedIn: SignInState | null }) {
  const caller = signedIn?.caller ?? null
  const houseKey = 'houseKey' in place ? place.houseKey : null
  // The demo has no accounts.
  const letsIn = caller?.role === 'contractor' && signedIn?.demo === false
  const current = (page: Place['page']) => (place.page === page ? ('page' as const) : undefined)
  return (
    <header class="top">
      <Link to="/" class="name">
        <img src="/mark.svg" width={22} height={22} alt="" /> Underjoist
      </Link>
      <nav aria-label="Pages">
        {caller?.role === 'owner' && (
          <Link to="/owner" aria-current={current('owner')}>
            Your house
          </Link>
        )}
        {caller !== null && caller.role !== 'owner' && (
          <>
            <Link to="/" aria-current={current('round')}>
              Round
            </Link>
            {houseKey !== null && (
              <>
                <Link to={`/houses/${houseKey}`} aria-current={current('house')}>
                  House
                </Link>
                <Link to={`/houses/${houseKey}/bring-in`} aria-current={current('bring in')}>
                  Bring in readings
                </Link>
                <Link to={`/houses/${houseKey}/enter`} aria-current={current('enter')}>
                  Enter and correct
                </Link>
                <Link to={`/houses/${houseKey}/history`} aria-current={current('history')}>
                  History
                </Link>
                <Link to={`/houses/${houseKey}/owner`} aria-current={current('owner look')}>
                  Owner’s page
                </Link>
                {letsIn && (
                  <Link to={`/houses/${houseKey}/people`} aria-current={current('house people')}>
                    Its people
                  </Link>
                )}
              </>
            )}
            <Link to="/loggers" aria-current={ABOUT_LOGGERS.has(place.page) ? 'page' : undefined}>
              Loggers
            </Link>
            <Link to="/sizing" aria-current={current('sizing')}>
              Sizing
            </Link>
            {letsIn && (
              <Link to="/people" aria-current={current('people')}>
                People
              </Link>
            )}
          </>
        )}
      </nav>
      {caller !== null && caller.via !== 'this machine' && <Who caller={caller} current={current('account')} />}
      <UnitsChoice />
    </header>
  )
}

const NAMES = { us: 'US', si: 'SI' } as const

function UnitsChoice() {
  const { units, setUnits } = usePerson()
  return (
    <div class="units" role="group" aria-label="Units">
      {UNITS.map((choice) => (
        <button key={choice} type="button" aria-pressed={units === choice} onClick={() => setUnits(choice)}>
          {NAMES[choice]}
        </button>
      ))}
    </div>
  )
}

function Who({ caller, current }: { caller: CallerAnswer; current: 'page' | undefined }) {
  const [trouble, setTrouble] = useState('')
  async function signOut(): Promise<void> {
    try {
      await send('DELETE', '/api/sign-in')
      // Loaded anew: nothing of what was shown stays in the browser's memory.
      location.assign('/')
    } catch (error) {
      if (!(error instanceof Trouble)) throw error
      setTrouble(`Not signed out. ${error.answer.message}`)
    }
  }
  return (
    <div class="who" role="group" aria-label="Signed in">
      {caller.via === 'password' ? (
        <Link to="/account" class="who-name" aria-current={current}>
          {caller.name}
        </Link>
      ) : (
        <span class="who-name">{caller.name}</span>
      )}
      <button type="button" class="plain" onClick={() => void signOut()}>
        Sign out
      </button>
      <span role="status" class="fault small">
        {trouble}
      </span>
    </div>
  )
}
