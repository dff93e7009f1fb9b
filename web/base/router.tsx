/** Paths of the pages: a handful, so a table is enough. Links are plain links; the history of the browser is used as it is. */
import type { ComponentChildren } from 'preact'
import { useEffect, useState } from 'preact/hooks'

export type Place =
  | { page: 'round' }
  | { page: 'new house' }
  | { page: 'sizing' }
  | { page: 'stations' }
  | { page: 'letters' }
  | { page: 'checks'; check: number | null }
  | { page: 'loggers' }
  /** The house they will hang in, where it is known already. */
  | { page: 'enroll'; forHouse: string | null }
  | { page: 'labels'; keys: string[] }
  /** By its key, or by the code on its label. */
  | { page: 'logger'; logger: string }
  | { page: 'live'; ofHouse: string | null }
  | { page: 'house'; houseKey: string }
  | { page: 'enter'; houseKey: string }
  | { page: 'bring in'; houseKey: string }
  | { page: 'history'; houseKey: string }
  | { page: 'house people'; houseKey: string }
  /** What the owner of the house sees, shown to the firm. */
  | { page: 'owner look'; houseKey: string }
  | { page: 'people' }
  | { page: 'account' }
  | { page: 'first' }
  | { page: 'forgot' }
  /** Behind "#" stands the code of an invitation or a forgotten password. */
  | { page: 'password' }
  /** Behind "#" may stand an owner's link. The house, where an owner has several. */
  | { page: 'owner'; ofHouse: string | null }
  | { page: 'nowhere' }

const OF_HOUSE = {
  '': 'house',
  enter: 'enter',
  'bring-in': 'bring in',
  history: 'history',
  people: 'house people',
  owner: 'owner look',
} as const

const ALONE = ['sizing', 'stations', 'letters', 'people', 'account', 'first', 'forgot', 'password'] as const

/** @param search what follows the path, with its question mark */
function loggersPlace(rest: readonly string[], search: string): Place {
  const asked = new URLSearchParams(search)
  if (rest.length === 0) return { page: 'loggers' }
  if (rest.length > 1) return { page: 'nowhere' }
  if (rest[0] === 'new') return { page: 'enroll', forHouse: asked.get('house') }
  if (rest[0] === 'labels') {
    return { page: 'labels', keys: (asked.get('keys') ?? '').split(',').filter((key) => key !== '') }
  }
  return { page: 'logger', logger: decodeURIComponent(rest[0]!) }
}

/** @param path such as /houses/maple-hollow/enter */
export function placeOf(path: string, search = ''): Place {
  const parts = path.split('/').filter((part) => part !== '')
  if (parts.length === 0) return { page: 'round' }
  const alone = ALONE.find((page) => parts.length === 1 && parts[0] === page)
  if (alone !== undefined) return { page: alone }
  if (parts.length === 1 && parts[0] === 'owner') {
    return { page: 'owner', ofHouse: new URLSearchParams(search).get('house') }
  }
  if (parts[0] === 'checks' && parts.length <= 2 && /^\d*$/.test(parts[1] ?? '')) {
    return { page: 'checks', check: parts[1] === undefined ? null : Number(parts[1]) }
  }
  if (parts[0] === 'loggers') return loggersPlace(parts.slice(1), search)
  if (parts.length === 1 && parts[0] === 'live') {
    return { page: 'live', ofHouse: new URLSearchParams(search).get('house') }
  }
  if (parts[0] !== 'houses' || parts.length > 3 || parts.length < 2) return { page: 'nowhere' }
  if (parts.length === 2 && parts[1] === 'new') return { page: 'new house' }
  const page = OF_HOUSE[(parts[2] ?? '') as keyof typeof OF_HOUSE]
  return page === undefined ? { page: 'nowhere' } : { page, houseKey: decodeURIComponent(parts[1]!) }
}

const MOVED = 'underjoist:moved'

/** Goes to another page of ours; in place of the present one, where going back to that would lead nowhere. */
export function goTo(path: string, { inPlace = false }: { inPlace?: boolean } = {}): void {
  if (inPlace) history.replaceState(null, '', path)
  else history.pushState(null, '', path)
  dispatchEvent(new Event(MOVED))
}

export function usePlace(): Place {
  const [{ pathname, search }, setAddress] = useState({ pathname: location.pathname, search: location.search })
  useEffect(() => {
    const moved = () => {
      setAddress({ pathname: location.pathname, search: location.search })
      scrollTo(0, 0)
    }
    addEventListener('popstate', moved)
    addEventListener(MOVED, moved)
    return () => {
      removeEventListener('popstate', moved)
      removeEventListener(MOVED, moved)
    }
  }, [])
  return placeOf(pathname, search)
}

/** A link that stays in the pages; with a modifier key or another button the browser does what it always does. */
export function Link({
  to,
  children,
  ...rest
}: {
  to: string
  children: ComponentChildren
  class?: string
  'aria-current'?: 'page' | undefined
}) {
  return (
    <a
      href={to}
      {...rest}
      onClick={(event) => {
        if (event.metaKey || event.ctrlKey || event.shiftKey || event.altKey || event.button !== 0) return
        event.preventDefault()
        goTo(to)
      }}
    >
      {children}
    </a>
  )
}
