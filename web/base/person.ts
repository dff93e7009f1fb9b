/** What a person chose for all pages, kept in the browser until people have accounts. */
import { createContext } from 'preact'
import { useContext, useState } from 'preact/hooks'
import type { Units } from '../../server/http/contract/words.ts'

const KEY = 'underjoist.units'

/** A browser that keeps nothing still shows pages. */
function remembered(): Units {
  try {
    return localStorage.getItem(KEY) === 'si' ? 'si' : 'us'
  } catch {
    return 'us'
  }
}

export interface Person {
  units: Units
  setUnits: (units: Units) => void
}

export const PersonContext = createContext<Person>({ units: 'us', setUnits: () => {} })
export const usePerson = (): Person => useContext(PersonContext)

export function useRememberedPerson(): Person {
  const [units, set] = useState<Units>(remembered)
  const setUnits = (chosen: Units) => {
    set(chosen)
    try {
      localStorage.setItem(KEY, chosen)
    } catch {
      // private browsing: it holds until the page is left
    }
  }
  return { units, setUnits }
}
