/**
 * Writes the letters that no notice causes into the outbox, for owners alone. What was written is known by its key there, so
 * a restart neither repeats nor drops; what a service that stood still could not say in time it says late, or not at all.
 */
import type { Level } from '../../moisture/level.ts'
import { findHouse, type HouseRow, listHouses } from '../../store/houses.ts'
import { findReaders, type Reader } from '../../store/letterReaders.ts'
import { type NewLetter, storeLetters } from '../../store/letters.ts'
import { findLettersByKey } from '../../store/regularLetters.ts'
import { UPKEEP_TASKS } from '../letters/calendar.ts'
import { classOfKind } from '../letters/kinds.ts'
import type { Written } from '../letters/noticeLetter.ts'
import { afterQuietHours } from '../letters/quietHours.ts'
import { bigRainLetter, newsLetter, placedLetter, type RegularAsked, upkeepLetter } from '../letters/regular.ts'
import { regularDue } from '../letters/regularDue.ts'
import type { RegularLetter, Sent } from '../letters/regularHouse.ts'
import type { PictureData } from '../letters/told.ts'
import { type Dampest, type RegularFacts, readMatters, readRegular, readSpan } from '../readRegular.ts'
import { type ClerkOptions, firmTold, linksOf } from './lettersTo.ts'
import { pictureOfSpot } from './pictureOf.ts'

export interface RegularClerkOptions extends ClerkOptions {
  /** What the owner's page says of the house; null while that is being found. */
  levelOf(houseKey: string): Promise<Level | null>
  onTrouble(houseKey: string, error: unknown): void
}

const HOUR_MS = 3_600_000
const EVERY_MS = HOUR_MS
/** A summary waits so long for what is being found. */
const PATIENCE_MS = 24 * HOUR_MS

/** @returns one round: nothing but a look at the clock until the next hour */
export function createRegularClerk(options: RegularClerkOptions): () => Promise<void> {
  const { db, now, onTrouble } = options
  let nextAt = Number.NEGATIVE_INFINITY
  return async () => {
    if (now() < nextAt) return
    for (const { id, key } of await listHouses(db)) {
      try {
        const owners = (await findReaders(db, id)).filter(({ role }) => role === 'owner')
        const row = owners.length === 0 ? undefined : await findHouse(db, key)
        if (row !== undefined) await writeTo(owners, row, options)
      } catch (error) {
        onTrouble(key, error) // the other houses still get theirs
      }
    }
    nextAt = now() + EVERY_MS
  }
}

async function writeTo(owners: readonly Reader[], row: HouseRow, options: RegularClerkOptions): Promise<void> {
  const { db, now } = options
  const at = now()
  const facts = await readRegular(db, row, at)
  const letters: NewLetter[] = []
  for (const owner of owners) {
    const keyStart = `regular ${row.id} to ${owner.personId} `
    for (const letter of regularDue(facts.house, await sentTo(owner, row, keyStart, db), facts.held, at)) {
      if (owner.stopped.has(classOfKind(letter.kind)!)) continue
      const written = await write(letter, { owner, row, facts, options })
      if (written === null) continue
      letters.push({
        onceKey: keyStart + letter.key,
        kind: letter.kind,
        houseId: row.id,
        personId: owner.personId,
        toAddress: owner.email,
        toName: owner.name,
        ...written,
        createdAt: at,
        notBeforeAt: afterQuietHours(at, row.timeZone),
      })
    }
  }
  await storeLetters(db, letters)
}

async function sentTo(
  { personId }: Reader,
  { id: houseId }: HouseRow,
  keyStart: string,
  db: ClerkOptions['db'],
): Promise<Sent> {
  const sent = await findLettersByKey(db, { personId, houseId, keyStart })
  return {
    keys: new Set(sent.map(({ onceKey }) => onceKey.slice(keyStart.length))),
    summaryAt: sent.findLast(({ kind }) => kind === 'weekly' || kind === 'monthly')?.createdAt ?? null,
  }
}

interface Writing {
  owner: Reader
  row: HouseRow
  facts: RegularFacts
  options: RegularClerkOptions
}

/** Null: not yet. */
async function write(letter: RegularLetter, { owner, row, facts, options }: Writing): Promise<Written | null> {
  const { db, now } = options
  const asked: RegularAsked = {
    house: row,
    reader: owner,
    firm: await firmTold(db),
    links: await linksOf(owner, row, options),
    now: now(),
  }
  switch (letter.kind) {
    case 'placed':
      return placedLetter(asked, { loggers: facts.loggers })
    case 'season':
      return bigRainLetter(asked)
    case 'upkeep':
      return upkeepLetter(
        asked,
        letter.tasks.map((due) => ({ ...UPKEEP_TASKS[due.task], ...due })),
      )
    default: {
      const level = await options.levelOf(row.key)
      if (level === null && now() - letter.dueAt < PATIENCE_MS) return null
      const { dampest, rainMm } = await readSpan(db, facts.record, letter)
      const news = {
        from: letter.from,
        to: letter.to,
        level,
        rhHighestPct: dampest?.rhPct ?? null,
        rainMm,
        ...(await readMatters(db, row, owner, letter)),
        silentLoggers: facts.silentLoggers,
        picture: dampest && (await pictureOfDampest(dampest, { row, facts, options }, letter.to)),
      }
      return newsLetter(letter.kind, asked, news, letter.note)
    }
  }
}

/** Of a closed space its air, against the line; of a vented one its wood, since its air follows the weather. */
async function pictureOfDampest(
  { path: spot, name, spaceKey }: Dampest,
  { row, facts: { record }, options: { db } }: Pick<Writing, 'row' | 'facts' | 'options'>,
  at: number,
): Promise<PictureData | null> {
  const { held } = record.house
  const of = { houseId: row.id, spot, name, at }
  return record.house.closedAt(spaceKey, at)
    ? pictureOfSpot(db, {
        ...of,
        quantity: 'rhPct',
        threshold: { value: held.closedOnRhPct, name: 'above this for a day: too damp' },
      })
    : pictureOfSpot(db, {
        ...of,
        quantity: 'woodMcPct',
        threshold: { value: held.woodDampPct, name: 'line that we watch' },
      })
}
