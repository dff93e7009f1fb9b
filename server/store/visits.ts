/** Somebody goes under a house and comes out again, with one tap each: an event of the house with its times. */
import { instantOfLocalText, localTimeText, localTimeTextFrom } from '../series/localTime.ts'
import { houseRow } from './houses.ts'
import type { HouseTree } from './houseTree.ts'
import type { Database } from './open.ts'
import { minuteOf } from './placementMoves.ts'
import { readTree } from './readHouse.ts'
import { writeHouses } from './storeHouse.ts'
import { inTransaction } from './unitsOfWork.ts'

type Event = NonNullable<HouseTree['events']>[number]

/** A visit that nobody ended is over after this long, whoever forgot the second tap. Proposal. */
export const LONGEST_VISIT_MS = 12 * 3_600_000

/** Nobody is known to be inside. */
export class VisitRefused extends Error {
  override name = 'VisitRefused'
}

/** When an event of a span of hours is over; one known only by its dates is not asked. */
export function visitEnd({ kind, from, to }: Event, instant: (text: string) => number): number {
  if (to !== undefined) return instant(to)
  return instant(from) + (kind === 'visit' ? LONGEST_VISIT_MS : OTHER_MS)
}

/** A touched logger whose end nobody wrote down. Proposal. */
const OTHER_MS = 2 * 3_600_000

/** Since when somebody is inside; null when nobody is. undefined when there is no such house. */
export async function insideSince(db: Database, houseKey: string, now: number): Promise<number | null | undefined> {
  const row = houseRow(db, houseKey)
  if (row === undefined) return undefined
  const tree = readTree(db, row)
  const open = openVisit(tree, now)
  return open === undefined ? null : instantOfLocalText(open.from, tree.timeZone)
}

/**
 * In twice is one visit. A visit left open for longer than {@link LONGEST_VISIT_MS} is given that end when the next begins.
 * @returns since when somebody is inside; null after coming out; undefined when there is no such house
 * @throws VisitRefused for coming out when nobody is inside
 */
export async function stepInOrOut(
  db: Database,
  houseKey: string,
  { step, note }: { step: 'in' | 'out'; note?: string },
  { now, who }: { now: number; who: string },
): Promise<number | null | undefined> {
  return inTransaction(db, () => {
    const row = houseRow(db, houseKey)
    if (row === undefined) return undefined
    const tree = readTree(db, row)
    const instant = (text: string) => instantOfLocalText(text, tree.timeZone)
    const open = openVisit(tree, now)
    const store = (events: Event[], what: string) =>
      writeHouses(db, [{ tree: { ...tree, events }, change: { replace: true, now, who, what } }])
    if (step === 'in') {
      if (open) return instant(open.from)
      const begun: Event = { kind: 'visit', from: localTimeText(now, tree.timeZone), ...(note && { note }) }
      const before = (tree.events ?? []).map((event) =>
        isOpen(event)
          ? { ...event, to: localTimeTextFrom(instant(event.from) + LONGEST_VISIT_MS, tree.timeZone) }
          : event,
      )
      store([...before, begun], 'went under the house')
      return instant(begun.from)
    }
    if (!open) throw new VisitRefused(nobodyInside(tree, instant))
    // In and out within one minute is a minute; a minute that has begun counts whole.
    const to = localTimeTextFrom(Math.max(now, minuteOf(instant(open.from)) + 60_000), tree.timeZone)
    const notes = [open.note, note].filter(Boolean).join(' ')
    const ended: Event = { ...open, to, ...(notes !== '' && { note: notes }) }
    store(
      tree.events!.map((event) => (event === open ? ended : event)),
      'came out from under the house',
    )
    return null
  })
}

const isOpen = ({ kind, from, to }: Event): boolean => kind === 'visit' && to === undefined && from.includes('T')

function openVisit(tree: HouseTree, now: number): Event | undefined {
  const since = ({ from }: Event) => now - instantOfLocalText(from, tree.timeZone)
  return tree.events?.findLast((event) => isOpen(event) && since(event) >= 0 && since(event) < LONGEST_VISIT_MS)
}

function nobodyInside(tree: HouseTree, instant: (text: string) => number): string {
  const last = tree.events?.findLast(isOpen)
  if (last === undefined)
    return `Nobody is known to be under ${tree.name}. Enter the visit with its times among the events.`
  const hours = LONGEST_VISIT_MS / 3_600_000
  const over = localTimeText(instant(last.from) + LONGEST_VISIT_MS, tree.timeZone).replace('T', ' ')
  return `The visit to ${tree.name} that began ${last.from.replace('T', ' ')} counts as over since ${over}, after ${hours} hours. Correct its end among the events.`
}
