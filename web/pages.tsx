/** Which page stands at which path. Pages other than the round come when they are asked for. */
import { lazy } from 'preact/compat'
import { Link, type Place } from './base/router.tsx'
import { RoundPage } from './round/page.tsx'

/** The largest page; whoever knows early that it is wanted calls it early. */
export const housePage = () => import('./house/page.tsx')
const HousePage = lazy(housePage)
const EnterPage = lazy(() => import('./enter/page.tsx'))
const NewHousePage = lazy(() => import('./enter/newHouse.tsx'))
const HistoryPage = lazy(() => import('./enter/history.tsx'))
const BringInPage = lazy(() => import('./bringin/page.tsx'))
const ChecksPage = lazy(() => import('./checks/page.tsx'))
const LettersPage = lazy(() => import('./letters/page.tsx'))
const StationsPage = lazy(() => import('./stations/page.tsx'))
const LoggersPage = lazy(() => import('./loggers/page.tsx'))
const EnrollPage = lazy(() => import('./loggers/enroll.tsx'))
const LabelsPage = lazy(() => import('./loggers/labels.tsx'))
const LoggerPage = lazy(() => import('./loggers/logger.tsx'))
const LivePage = lazy(() => import('./loggers/board.tsx'))
const SizingPage = lazy(() => import('./sizing/page.tsx'))
const PeoplePage = lazy(() => import('./account/people.tsx'))
const HousePeoplePage = lazy(() => import('./account/housePeople.tsx'))
const AccountPage = lazy(() => import('./account/page.tsx'))
const OwnerPage = lazy(() => import('./owner/page.tsx'))
const OwnerLookPage = lazy(() => import('./owner/look.tsx'))

export function Page({ place }: { place: Place }) {
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
    case 'letters':
      return <LettersPage />
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
    case 'people':
      return <PeoplePage />
    case 'house people':
      return <HousePeoplePage houseKey={place.houseKey} />
    case 'account':
      return <AccountPage />
    case 'owner':
      return <OwnerPage ofHouse={place.ofHouse} />
    case 'owner look':
      return <OwnerLookPage houseKey={place.houseKey} />
    default:
      return <NoSuchPage />
  }
}

export function NoSuchPage() {
  return (
    <>
      <h1 tabIndex={-1}>There is no such page</h1>
      <p>
        <Link to="/">Go to the first page</Link>
      </p>
    </>
  )
}
