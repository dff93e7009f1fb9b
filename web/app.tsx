/** The frame of every page, and which page stands at which path. Pages other than the round come when they are asked for. */
import { lazy, Suspense } from 'preact/compat'
import { useEffect } from 'preact/hooks'
import { UNITS } from '../server/http/contract/words.ts'
import { PersonContext, usePerson, useRememberedPerson } from './base/person.ts'
import { Link, type Place, usePlace } from './base/router.tsx'
import { RoundPage } from './round/page.tsx'

const HousePage = lazy(() => import('./house/page.tsx'))
const EnterPage = lazy(() => import('./enter/page.tsx'))
const NewHousePage = lazy(() => import('./enter/newHouse.tsx'))
const HistoryPage = lazy(() => import('./enter/history.tsx'))
const BringInPage = lazy(() => import('./bringin/page.tsx'))
const ChecksPage = lazy(() => import('./checks/page.tsx'))
const StationsPage = lazy(() => import('./stations/page.tsx'))
const LoggersPage = lazy(() => import('./loggers/page.tsx'))
const EnrollPage = lazy(() => import('./loggers/enroll.tsx'))
const LabelsPage = lazy(() => import('./loggers/labels.tsx'))
const LoggerPage = lazy(() => import('./loggers/logger.tsx'))
const LivePage = lazy(() => import('./loggers/board.tsx'))
const SizingPage = lazy(() => import('./sizing/page.tsx'))

export function App() {
  const person = useRememberedPerson()
  const place = usePlace()
  const where = JSON.stringify(place)
  // A new page is announced by its head, as a page that was loaded would be.
  useEffect(() => document.querySelector<HTMLElement>('h1')?.focus(), [where])
  return (
    <PersonContext.Provider value={person}>
      <a class="skip" href="#content">
        To the content
      </a>
      <Header place={place} />
      <main id="content">
        <Suspense fallback={<p class="quiet">Loading the page.</p>}>
          <Page key={where} place={place} />
        </Suspense>
      </main>
      <footer class="small quiet">
        Humidity loggers do not see carbon monoxide, gas, radon or a live wire. Nothing here replaces the local code,
        the floodplain office or licensed trades. <Link to="/stations">Weather stations</Link>
      </footer>
    </PersonContext.Provider>
  )
}

function Page({ place }: { place: Place }) {
  switch (place.page) {
    case 'round':
      return <RoundPage />
    case 'house':
      return <HousePage houseKey={place.houseKey} />
    case 'enter':
      return <EnterPage houseKey={place.houseKey} />
    case 'history':
      return <HistoryPage houseKey={place.houseKey} />
    case 'bring in':
      return <BringInPage houseKey={place.houseKey} />
    case 'new house':
      return <NewHousePage />
    case 'checks':
      return <ChecksPage check={place.check} />
    case 'stations':
      return <StationsPage />
    case 'loggers':
      return <LoggersPage />
    case 'enroll':
      return <EnrollPage forHouse={place.forHouse} />
    case 'labels':
      return <LabelsPage keys={place.keys} />
    case 'logger':
      return <LoggerPage wanted={place.logger} />
    case 'live':
      return <LivePage ofHouse={place.ofHouse} />
    case 'sizing':
      return <SizingPage />
    case 'nowhere':
      return (
        <>
          <h1 tabIndex={-1}>There is no such page</h1>
          <p>
            <Link to="/">Go to the round</Link>
          </p>
        </>
      )
  }
}

const ABOUT_LOGGERS: ReadonlySet<Place['page']> = new Set(['loggers', 'enroll', 'labels', 'logger', 'live'])

function Header({ place }: { place: Place }) {
  const houseKey = 'houseKey' in place ? place.houseKey : null
  const current = (page: Place['page']) => (place.page === page ? ('page' as const) : undefined)
  return (
    <header class="top">
      <Link to="/" class="name">
        <img src="/mark.svg" width={22} height={22} alt="" /> Underjoist
      </Link>
      <nav aria-label="Pages">
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
          </>
        )}
        <Link to="/loggers" aria-current={ABOUT_LOGGERS.has(place.page) ? 'page' : undefined}>
          Loggers
        </Link>
        <Link to="/sizing" aria-current={current('sizing')}>
          Sizing
        </Link>
      </nav>
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
