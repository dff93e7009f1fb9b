/** What is asked every few seconds, or with every letter and page, finds its rows by an index: these tables only grow. */
import { expect, test } from 'vitest'
import { countLettersTo } from '../../server/store/letterReaders.ts'
import { countRefusals, countTried, listLetters, storeLetter, takeLetter } from '../../server/store/letters.ts'
import { escalateUnanswered, findNoticeNews, noticesWrittenTo } from '../../server/store/noticeNews.ts'
import { findNoticesSince, findOpenNotices, findOwnerTold, listNotices } from '../../server/store/notices.ts'
import type { Database } from '../../server/store/open.ts'
import { listOwnerLetters } from '../../server/store/ownerLetters.ts'
import { findLettersByKey } from '../../server/store/regularLetters.ts'
import { findWatchNews } from '../../server/store/watchNews.ts'
import { addHouse, scratchDatabase } from '../support/database.ts'

const letter = { toAddress: 'a@x.example', toName: 'Ann', subject: '', text: '', html: '', createdAt: 0 }

const ASKED: Record<string, (db: Database, houseId: number) => Promise<unknown>> = {
  'whether the minute is full': (db) => countTried(db, 0),
  'the next letter': (db) => takeLetter(db, 0, 0),
  'refusals of an address': (db) => countRefusals(db, 'a@x.example'),
  'a letter and its thread': (db, houseId) => storeLetter(db, { ...letter, onceKey: '1', kind: 'soon', houseId }),
  'letters of a house': (db) => listLetters(db, { most: 10, house: 'house-1' }),
  'letters to its owners': (db, houseId) => listOwnerLetters(db, { houseId, personId: null, most: 10 }),
  'letters to one person': (db, houseId) => countLettersTo(db, { personId: 1, houseId, kinds: ['soon'], since: 0 }),
  'regular letters to one person': (db, houseId) => findLettersByKey(db, { personId: 1, houseId, keyStart: 'r' }),
  'notices a person was written to about': (db, houseId) => noticesWrittenTo(db, 1, houseId),
  'open notices': (db) => findOpenNotices(db),
  'open notices of a house': (db, houseId) => findOpenNotices(db, houseId),
  'notices of a house': (db, houseId) => listNotices(db, houseId, 10),
  'notices since': (db, houseId) => findNoticesSince(db, houseId, 0),
  'when an owner was told': (db, houseId) => findOwnerTold(db, houseId, 0),
  'what nobody answered': (db) => escalateUnanswered(db, { openedBefore: 0, at: 0 }),
  'changes not taken up': (db) => findNoticeNews(db, 10),
  'what is new to the watch': (db) => findWatchNews(db),
}

/** How SQLite goes about each statement of what is asked. */
async function plansOf(asked: (typeof ASKED)[string]): Promise<string[]> {
  const db = scratchDatabase()
  const houseId = addHouse(db)
  const texts: string[] = []
  const prepare = db.raw.prepare.bind(db.raw)
  db.raw.prepare = ((text: string) => {
    texts.push(text)
    return prepare(text)
  }) as typeof db.raw.prepare
  await asked(db, houseId)
  db.raw.prepare = prepare
  return texts.flatMap((text) => {
    const names = [...new Set([...text.matchAll(/[:@](\w+)/g)].map(([, name]) => name!))]
    const values = [...text.matchAll(/\?/g)].map(() => 1)
    const named = Object.fromEntries(names.map((name) => [name, 1]))
    const rows = prepare(`explain query plan ${text}`).all(...(names.length > 0 ? [named] : values))
    return (rows as { detail: string }[]).map(({ detail }) => detail)
  })
}

test.for(Object.entries(ASKED))('%s', async ([, asked]) => {
  const plans = await plansOf(asked)
  expect(plans.length).toBeGreaterThan(0)
  const openOnes = 'SCAN n USING INDEX notices_open_by_cause'
  expect(plans.filter((plan) => /^SCAN (?:letters|notices|notice_changes|findings|[lnc])\b/.test(plan))).toEqual(
    plans.filter((plan) => plan === openOnes),
  )
})

test('times and states are read from indexes, not from behind the words and pictures', async () => {
  expect(await plansOf(ASKED['whether the minute is full']!)).toEqual([
    expect.stringContaining('USING COVERING INDEX letters_by_tried'),
  ])
  expect(await plansOf(ASKED['letters to its owners']!)).toContain(
    'SEARCH l USING INDEX letters_by_house (house_id=? AND state=?)',
  )
  expect(await plansOf(ASKED['what is new to the watch']!)).toContain(
    'SEARCH findings USING COVERING INDEX findings_by_house_computed (house_id=?)',
  )
})
