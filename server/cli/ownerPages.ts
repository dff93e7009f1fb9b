/** The owner's page wired together: what the watch says, what the study found, and which letters went out. */
import type { OwnerPageDeps } from '../http/ownerPage.ts'
import type { Level } from '../moisture/level.ts'
import { readFirm } from '../store/firm.ts'
import { findHouse } from '../store/houses.ts'
import { findReaders } from '../store/letterReaders.ts'
import type { Database } from '../store/open.ts'
import { listOwnerLetters } from '../store/ownerLetters.ts'
import { createOwnerView, type OwnerViewDeps } from '../study/view/ownerPage.ts'
import { ownerNotices } from '../watch/ownerNotices.ts'
import type { LetterDesk } from '../watch/post/letterDesk.ts'

const MOST_LETTERS = 20

/** The level that the owner's page names; null while it is being found, and before anything was measured. */
export function ownerLevels(db: Database, deps: OwnerViewDeps): (houseKey: string) => Promise<Level | null> {
  const view = createOwnerView(db, deps)
  return async (houseKey) => {
    const house = await findHouse(db, houseKey)
    if (house === undefined) return null
    const notices = await ownerNotices(db, { house, units: 'us', firm: await readFirm(db) })
    const seen = await view(houseKey, notices)
    return seen === undefined || seen === 'being made' ? null : seen.state.level
  }
}

export const ownerPages = (
  db: Database,
  { letters, ...view }: OwnerViewDeps & { letters: Pick<LetterDesk, 'choose'> },
): OwnerPageDeps['ownerPage'] => ({
  house: (key) => findHouse(db, key),
  firm: () => readFirm(db),
  notices: (asked) => ownerNotices(db, asked),
  view: createOwnerView(db, view),
  owners: async (houseId) => (await findReaders(db, houseId)).filter(({ role }) => role === 'owner'),
  letters: (houseId, personId) => listOwnerLetters(db, { houseId, personId, most: MOST_LETTERS }),
  async choose(of) {
    await letters.choose(of)
  },
})
