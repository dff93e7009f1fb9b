/** What the pages ask about letters, and what one click in a letter does. */
import type { Signer } from '../../people/signed.ts'
import { findContractors } from '../../store/letterReaders.ts'
import { findLetter, type LetterRow, listLetters, storeLetters, tryLetterAgain } from '../../store/letters.ts'
import { resumeLetters, stopLetters, whoseLetters } from '../../store/lettersStopped.ts'
import type { Database } from '../../store/open.ts'
import { CLASS_WORDS } from '../letters/kinds.ts'
import { openStopToken, type Stop } from '../letters/stopToken.ts'
import { alarmsStoppedLetter } from '../letters/toContractors.ts'

export interface LetterDesk {
  list(asked: { before?: number; house?: string }): Promise<{ letters: LetterRow[]; more: boolean }>
  /** A secret one comes without its words; null when there is none. */
  find(id: number): ReturnType<typeof findLetter>
  tryAgain(id: number): Promise<boolean>
  /** What a stop address is about, in words; null when it was not made here or its person or house is gone. */
  stopWords(token: string): Promise<{ what: string; house: string } | null>
  stop(token: string): Promise<boolean>
  resume(token: string): Promise<boolean>
  /** The same by whoever is signed in; the firm is told when alarms are stopped. False when person or house is gone. */
  choose(choice: Stop & { wanted: boolean }): Promise<boolean>
  goesTo: string | null
  problem(): string | null
}

const PAGE = 50

export function createLetterDesk({
  db,
  signer,
  now,
  publicUrl,
  goesTo,
  problem,
}: {
  db: Database
  signer: Signer
  now: () => number
  publicUrl: string
  goesTo: string | null
  problem: () => string | null
}): LetterDesk {
  async function choose({ wanted, ...of }: Stop & { wanted: boolean }): Promise<boolean> {
    const whose = await whoseLetters(db, of)
    if (whose === null) return false
    if (wanted) {
      await resumeLetters(db, of)
      return true
    }
    const isNew = await stopLetters(db, of, now())
    if (isNew && of.letterClass === 'alarms') {
      const contractors = (await findContractors(db)).filter(({ personId }) => personId !== of.personId)
      const { houseId, personId } = of
      await storeLetters(
        db,
        contractors.map((to) => alarmsStoppedLetter(to, { ...whose, houseId, personId, at: now(), publicUrl })),
      )
    }
    return true
  }

  return {
    goesTo,
    problem,
    async list(asked) {
      const found = await listLetters(db, { ...asked, most: PAGE + 1 })
      return { letters: found.slice(0, PAGE), more: found.length > PAGE }
    },
    async find(id) {
      const letter = await findLetter(db, id)
      return letter?.secret ? { ...letter, text: '', html: '', unsubscribeUrl: null } : letter
    },
    tryAgain: (id) => tryLetterAgain(db, id, now()),
    async stopWords(token) {
      const stop = openStopToken(signer, token)
      const whose = stop && (await whoseLetters(db, stop))
      return stop && whose && { what: CLASS_WORDS[stop.letterClass], house: whose.house }
    },
    async stop(token) {
      const stop = openStopToken(signer, token)
      return stop !== null && choose({ ...stop, wanted: false })
    },
    async resume(token) {
      const stop = openStopToken(signer, token)
      return stop !== null && choose({ ...stop, wanted: true })
    },
    choose,
  }
}
