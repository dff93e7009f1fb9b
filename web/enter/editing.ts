/** One house at hand: what is stored, what a person made of it, and storing the change. */
import { useState } from 'preact/hooks'
import type { HouseAnswer, HouseProblems, HouseTree } from '../../server/http/contract/house.ts'
import { ofHouse, send, Trouble } from '../base/api.ts'
import { type Faults, faultsOf, noFaults } from '../base/faults.ts'

export interface Editing {
  house: HouseTree
  /** Changes what is at hand; nothing is stored yet. */
  change(next: (house: HouseTree) => HouseTree): void
  changed: boolean
  faults: Faults
  /** The last word of the service: stored, or why not. */
  said: { kind: 'stored' | 'trouble'; text: string } | null
  storing: boolean
  /** @param what in a few words for the history */
  store(what: string): Promise<boolean>
  giveUp(): void
}

export function useEditing(stored: HouseAnswer): Editing {
  const [base, setBase] = useState(stored)
  const [house, setHouse] = useState(stored.house)
  const [faults, setFaults] = useState<Faults>(noFaults)
  const [said, setSaid] = useState<Editing['said']>(null)
  const [storing, setStoring] = useState(false)
  const changed = JSON.stringify(house) !== JSON.stringify(base.house)
  return {
    house,
    changed,
    faults,
    said,
    storing,
    change(next) {
      setHouse((present) => next(structuredClone(present)))
      setSaid(null)
    },
    giveUp() {
      setHouse(base.house)
      setFaults(noFaults)
      setSaid(null)
    },
    async store(what) {
      setStoring(true)
      try {
        const body = { house: withoutHoles(house), version: base.version, what }
        const answer = await send<HouseAnswer>('PUT', ofHouse(base.house.key), body)
        setBase(answer)
        setHouse(answer.house)
        setFaults(noFaults)
        setSaid({ kind: 'stored', text: 'Stored. It can be undone under History.' })
        return true
      } catch (error) {
        if (!(error instanceof Trouble)) throw error
        const problems = (error.answer as HouseProblems).problems ?? []
        setFaults(faultsOf(problems))
        const named = problems.map(({ path, problem }) => `${placeWords(path)}: ${problem}`)
        setSaid({ kind: 'trouble', text: [error.answer.message, ...named, error.answer.hint].join(' ') })
        return false
      } finally {
        setStoring(false)
      }
    },
  }
}

/** A field that was emptied is left out, for "not recorded" is not the same as empty. */
export const withoutHoles = (house: HouseTree): HouseTree => JSON.parse(JSON.stringify(house)) as HouseTree

/** "/works/2/from" as "works 3, from". */
export function placeWords(path: string): string {
  return path
    .split('/')
    .filter((part) => part !== '')
    .map((part) => (/^\d+$/.test(part) ? String(Number(part) + 1) : part))
    .join(' ')
}

/** A key of small letters and digits made of a name, that none of these has yet. */
export function keyFrom(name: string, taken: readonly string[]): string {
  const base =
    name
      .toLowerCase()
      .normalize('NFKD')
      .replace(/[^a-z0-9]+/g, '-')
      .replace(/^-+|-+$/g, '')
      .slice(0, 40) || 'new'
  for (let n = 1; ; n++) {
    const key = n === 1 ? base : `${base}-${n}`
    if (!taken.includes(key)) return key
  }
}
