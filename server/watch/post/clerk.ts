/** Reads what happened to notices and puts the letters that follow into the outbox; the post takes them from there. */
import { findReaders, type Reader } from '../../store/letterReaders.ts'
import type { NewLetter } from '../../store/letters.ts'
import {
  escalateUnanswered,
  findNoticeChanges,
  findNoticeNews,
  type NoticeNews,
  readGathered,
  takeUpNews,
  tellGathered,
} from '../../store/noticeNews.ts'
import { readLetterLimits } from '../letterLimits.ts'
import { afterTelling, type Gathering, isRipe } from '../letters/gathering.ts'
import { classOfKind } from '../letters/kinds.ts'
import { kindOf } from '../letters/noticeLetter.ts'
import { stormLetter, type ToldOfHouse } from '../letters/stormLetter.ts'
import { type ClerkOptions, lettersTo, toldOf } from './lettersTo.ts'

const HOUR_MS = 3_600_000
/** Who was told and does not answer within this is told again, and so is the firm (trade practice; proposal). */
const UNANSWERED_H = 24
const AT_ONCE = 200

/** One round: escalates what nobody answered, takes up every change, and tells what was gathered long enough. */
export async function writeDueLetters(options: ClerkOptions): Promise<void> {
  const { db, now } = options
  await escalateUnanswered(db, { openedBefore: now() - UNANSWERED_H * HOUR_MS, at: now() })
  for (;;) {
    const news = await findNoticeNews(db, AT_ONCE)
    if (news.length === 0) break
    for (const ofOneHouse of runsOfHouses(news)) {
      const gathered = new Map<number, Gathering>()
      const letters = await lettersAbout(ofOneHouse, options, gathered)
      await takeUpNews(db, ofOneHouse.at(-1)!.changeId, letters, gathered)
    }
  }
  await tellWhatWaited(options)
}

/** For each of the firm's people for whom changes waited long enough: one letter of all the houses. */
async function tellWhatWaited(options: ClerkOptions): Promise<void> {
  const { db, now } = options
  const { gatherMs } = await readLetterLimits(db)
  for (const [personId, gathering] of (await readGathered(db)) as Map<number, Gathering>) {
    if (!isRipe(gathering, now(), gatherMs)) continue
    const waited = await findNoticeChanges(db, gathering.waiting)
    const houses = new Set(waited.map(({ house }) => house.id))
    const letters = await togetherTo(personId, waited, options)
    const told = afterTelling(gathering, houses.size === 1 ? [...houses][0]! : null, now())
    await tellGathered(db, letters, new Map([[personId, told]]))
  }
}

/** Of one house as ever; of several as one letter. Who left meanwhile, or stopped them, is told nothing. */
async function togetherTo(
  personId: number,
  waited: readonly NoticeNews[],
  options: ClerkOptions,
): Promise<NewLetter[]> {
  const { db, now, publicUrl } = options
  const changes: ToldOfHouse[] = []
  const still: NoticeNews[] = []
  let reader: Reader | undefined
  for (const one of waited) {
    const found = (await findReaders(db, one.house.id)).find((somebody) => somebody.personId === personId)
    if (found === undefined) continue
    for (const told of await toldOf([one])) {
      if (found.stopped.has(classOfKind(kindOf(told))!)) continue
      changes.push({ told, house: one.house })
      still.push(one)
      reader = found
    }
  }
  if (reader === undefined) return []
  const { house } = changes[0]!
  if (changes.some((one) => one.house.id !== house.id)) return [stormLetter(changes, reader, { publicUrl, now: now() })]
  return lettersTo([reader], await toldOf(still, db), house, options)
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

/** @param gathered is given what now waits to be told together, by person */
async function lettersAbout(
  news: readonly NoticeNews[],
  options: ClerkOptions,
  gathered: Map<number, Gathering>,
): Promise<NewLetter[]> {
  const { db } = options
  const { house } = news[0]!
  const changes = await toldOf(news, db)
  if (changes.every(({ tell }) => tell.length === 0)) return []
  return lettersTo(await findReaders(db, house.id), changes, house, options, gathered)
}
