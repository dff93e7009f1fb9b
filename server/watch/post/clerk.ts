/** Reads what happened to notices and puts the letters that follow into the outbox; the post takes them from there. */
import { ownerAddress } from '../../people/ownerLinks.ts'
import type { Signer } from '../../people/signed.ts'
import { countLettersTo, findReaders, type Reader, readFirmInWords } from '../../store/letterReaders.ts'
import type { NewLetter } from '../../store/letters.ts'
import {
  escalateUnanswered,
  findNoticeNews,
  type NoticeNews,
  noticesWrittenTo,
  takeUpNews,
} from '../../store/noticeNews.ts'
import type { Database } from '../../store/open.ts'
import type { LetterClass } from '../letters/kinds.ts'
import { type Before, BUDGET_DAYS, BUDGETED, lettersFor } from '../letters/lettersFor.ts'
import { stopToken } from '../letters/stopToken.ts'
import type { FirmTold, LinksTold, Told } from '../letters/told.ts'
import { readAnswerHours } from '../answerHours.ts'
import type { ChangeBody, Watch } from '../types.ts'
import { pictureOf } from './pictureOf.ts'

export interface ClerkOptions {
  db: Database
  now: () => number
  /** Without a slash at its end. */
  publicUrl: string
  signer: Signer
}

const HOUR_MS = 3_600_000
/** Who was told and does not answer within this is told again, and so is the firm (trade practice; proposal). */
const UNANSWERED_H = 24
const AT_ONCE = 200

/** One round: escalates what nobody answered, then takes up every change. */
export async function writeDueLetters(options: ClerkOptions): Promise<void> {
  const { db, now } = options
  await escalateUnanswered(db, { openedBefore: now() - UNANSWERED_H * HOUR_MS, at: now() })
  for (;;) {
    const news = await findNoticeNews(db, AT_ONCE)
    if (news.length === 0) return
    for (const ofOneHouse of runsOfHouses(news)) {
      await takeUpNews(db, ofOneHouse.at(-1)!.changeId, await lettersAbout(ofOneHouse, options))
    }
  }
}

/** Changes stay in their order; what follows each other in one house is told in one go. */
function runsOfHouses(news: readonly NoticeNews[]): NoticeNews[][] {
  const runs: NoticeNews[][] = []
  for (const one of news) {
    const last = runs.at(-1)
    if (last !== undefined && last[0]!.house.id === one.house.id) last.push(one)
    else runs.push([one])
  }
  return runs
}

async function lettersAbout(
  news: readonly NoticeNews[],
  { db, now, publicUrl, signer }: ClerkOptions,
): Promise<NewLetter[]> {
  const { house } = news[0]!
  const changes: Told[] = []
  for (const { body, changeId, noticeId, at, change, watch } of news) {
    if (body === null) continue // what people did is no news to them
    const told = body as ChangeBody
    changes.push({
      noticeId,
      changeId,
      change,
      at,
      watch: watch as Watch,
      urgency: told.urgency,
      sinceAt: told.sinceAt,
      overAt: told.overAt ?? null,
      tell: told.tell,
      body: told,
      picture: told.tell.length === 0 ? null : await pictureOf(db, house.id, watch as Watch, told, at),
    })
  }
  if (changes.every(({ tell }) => tell.length === 0)) return []
  const readers = await findReaders(db, house.id)
  const firm = await firmTold(db)
  const before = new Map<number, Before>()
  const links = new Map<number, LinksTold>()
  for (const reader of readers) {
    const { personId } = reader
    const since = now() - BUDGET_DAYS * 24 * HOUR_MS
    before.set(personId, {
      canWait: await countLettersTo(db, { personId, houseId: house.id, kinds: BUDGETED, since }),
      notices: await noticesWrittenTo(db, personId, house.id),
    })
    links.set(personId, await linksOf(reader, house, { db, now, publicUrl, signer }))
  }
  return lettersFor(
    changes,
    house,
    { readers, firm, before: ({ personId }) => before.get(personId)!, links: ({ personId }) => links.get(personId)! },
    now(),
  )
}

/** The firm as letters name it, with the answers it promises. */
export const firmTold = async (db: Database): Promise<FirmTold> => ({
  ...(await readFirmInWords(db)),
  answerHours: await readAnswerHours(db),
})

/** Where a reader looks at a house, and where they stop letters about it. */
export async function linksOf(
  { personId, role }: Pick<Reader, 'personId' | 'role'>,
  { id: houseId, key }: { id: number; key: string },
  { db, now, publicUrl, signer }: ClerkOptions,
): Promise<LinksTold> {
  const own = role === 'owner' ? await ownerAddress(db, { publicUrl, houseId, personId, now: now() }) : null
  return {
    look: role === 'owner' ? (own ?? `${publicUrl}/owner`) : `${publicUrl}/houses/${encodeURIComponent(key)}`,
    stop: (letterClass) =>
      `${publicUrl}/stop/${stopToken(signer, { personId, houseId, letterClass: letterClass as LetterClass })}`,
  }
}
