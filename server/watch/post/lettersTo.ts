/** What changes of a house's notices come to, for those who are written to about it. */
import { ownerAddress } from '../../people/ownerLinks.ts'
import type { Signer } from '../../people/signed.ts'
import { readFirm } from '../../store/firm.ts'
import { countLettersTo, type Reader } from '../../store/letterReaders.ts'
import type { NewLetter } from '../../store/letters.ts'
import { type NoticeNews, noticesWrittenTo, readGathered } from '../../store/noticeNews.ts'
import type { Database } from '../../store/open.ts'
import { readLetterLimits } from '../letterLimits.ts'
import { type Gathering, gather, isOfWeather, NOTHING_GATHERED } from '../letters/gathering.ts'
import { type Before, BUDGET_DAYS, BUDGETED, lettersFor } from '../letters/lettersFor.ts'
import { stopToken } from '../letters/stopToken.ts'
import type { FirmTold, LinksTold, Told } from '../letters/told.ts'
import type { ChangeBody, Watch } from '../types.ts'
import { pictureOf } from './pictureOf.ts'

export interface ClerkOptions {
  db: Database
  now: () => number
  /** Without a slash at its end. */
  publicUrl: string
  signer: Signer
}

const DAY_MS = 24 * 3_600_000

/** @param db pictures come with it */
export async function toldOf(news: readonly NoticeNews[], db?: Database): Promise<Told[]> {
  const changes: Told[] = []
  for (const { body, changeId, noticeId, at, change, watch, house } of news) {
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
      picture:
        db === undefined || told.tell.length === 0 ? null : await pictureOf(db, house.id, watch as Watch, told, at),
    })
  }
  return changes
}

/** @param gathered none: everything is told now */
export async function lettersTo(
  readers: readonly Reader[],
  changes: readonly Told[],
  house: NoticeNews['house'],
  options: ClerkOptions,
  gathered?: Map<number, Gathering>,
): Promise<NewLetter[]> {
  const { db, now } = options
  const kept = (await readGathered(db)) as Map<number, Gathering>
  const before = new Map<number, Before>()
  const links = new Map<number, LinksTold>()
  for (const reader of readers) {
    const { personId } = reader
    const since = now() - BUDGET_DAYS * DAY_MS
    const notices = await noticesWrittenTo(db, personId, house.id)
    before.set(personId, {
      canWait: await countLettersTo(db, { personId, houseId: house.id, kinds: BUDGETED, since }),
      notices: new Set([...notices, ...(kept.get(personId)?.told ?? [])]),
    })
    links.set(personId, await linksOf(reader, house, options))
  }
  return lettersFor(
    changes,
    house,
    {
      readers,
      firm: await firmTold(db),
      ownerLettersPerMonth: (await readLetterLimits(db)).ownerLettersPerMonth,
      before: ({ personId }) => before.get(personId)!,
      links: ({ personId }) => links.get(personId)!,
      waits({ personId }, { watch, noticeId, changeId }) {
        if (gathered === undefined || !isOfWeather(watch)) return false
        const known = gathered.get(personId) ?? kept.get(personId) ?? NOTHING_GATHERED
        const { waits, next } = gather(known, { houseId: house.id, noticeId, changeId }, now())
        gathered.set(personId, next)
        return waits
      },
    },
    now(),
  )
}

/** The firm as letters name it, with the answers it promises. */
export async function firmTold(db: Database): Promise<FirmTold> {
  const { name, phone } = await readFirm(db)
  return { name, phone, answerHours: (await readLetterLimits(db)).answerHours }
}

/** Where a reader looks at a house, and where they stop letters about it. */
export async function linksOf(
  { personId, role }: Pick<Reader, 'personId' | 'role'>,
  { id: houseId, key }: { id: number; key: string },
  { db, now, publicUrl, signer }: ClerkOptions,
): Promise<LinksTold> {
  const own = role === 'owner' ? await ownerAddress(db, { publicUrl, houseId, personId, now: now() }) : null
  return {
    look: role === 'owner' ? (own ?? `${publicUrl}/owner`) : `${publicUrl}/houses/${encodeURIComponent(key)}`,
    stop: (letterClass) => `${publicUrl}/stop/${stopToken(signer, { personId, houseId, letterClass })}`,
  }
}
