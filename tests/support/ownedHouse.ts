/** The demo house with an owner who comes by a link, a firm to call, and notices, in a service of its own. */
import type { ServiceParts } from '../../server/cli/runService.ts'
import { storeFirm } from '../../server/store/firm.ts'
import { insertLetter } from '../../server/store/letters.ts'
import type { Database } from '../../server/store/open.ts'
import type { KeptBody, Urgency, Watch } from '../../server/watch/types.ts'

export const OWNED = 'demo-fernhollow'
export const OWNER = { name: 'Olive Owner', email: 'olive@example.com' }
export const THE_FIRM = { name: 'Invented Crawl Space Company', phone: '555 0142', email: 'office@example.com' }
const CLIENT = { address: '127.0.0.1', agent: 'a test' }

export interface Opening {
  house?: string
  watch: Watch
  urgency: Urgency
  sinceAt: number
  openedAt?: number
  body?: Partial<KeptBody>
}

/** As the watch stores one that it raised. */
export function openNotice(db: Database, { house = OWNED, watch, urgency, sinceAt, ...rest }: Opening): number {
  const { openedAt = sinceAt, body = {} } = rest
  const whole: KeptBody = {
    audience: ['owner', 'contractor'],
    told: ['owner', 'contractor'],
    ownerToldAt: null,
    overAt: null,
    place: { spot: null, spotName: null, spaceName: null },
    alsoAt: [],
    about: null,
    circumstances: [],
    numbers: {},
    ...body,
  }
  const { lastInsertRowid } = db.raw
    .prepare(
      `insert into notices (house_id, watch, cause, urgency, since_at, opened_at, updated_at, body)
       values ((select id from houses where key = ?), ?, ?, ?, ?, ?, ?, ?)`,
    )
    .run(house, watch, whole.place.spot ?? '', urgency, sinceAt, openedAt, openedAt, JSON.stringify(whole))
  const told = { ...whole, urgency, sinceAt, tell: [], quiet: null }
  db.raw
    .prepare(`insert into notice_changes (notice_id, at, change, who, body) values (?, ?, 'opened', 'the watch', ?)`)
    .run(lastInsertRowid, openedAt, JSON.stringify(told))
  return Number(lastInsertRowid)
}

/** @returns the owner's link, behind "#" of their page's address, and their number */
export async function giveOwner({ db, people }: ServiceParts): Promise<{ link: string; personId: number }> {
  const code = (await people.firstCode())!
  const first = { code, firm: THE_FIRM.name, name: 'Con Tractor', email: 'con@example.com' }
  const { caller } = await people.begin({ ...first, password: 'wet joists dry slowly' }, CLIENT)
  await storeFirm(db, THE_FIRM)
  const { person } = await people.addPerson({ ...OWNER, role: 'owner', houses: [OWNED] }, caller)
  const { address } = await people.addLink(OWNED, { personId: person.id, days: 30 }, caller)
  return { link: address.slice(address.indexOf('#') + 1), personId: person.id }
}

export function sentLetter(db: Database, personId: number, subject: string, at: number): void {
  const houseId = db.raw.prepare('select id from houses where key = ?').pluck().get(OWNED) as number
  const onceKey = `test ${subject}`
  const words = { kind: 'soon', subject, text: subject, html: subject, toAddress: OWNER.email, toName: OWNER.name }
  insertLetter(db, { ...words, onceKey, houseId, personId, createdAt: at })
  db.raw.prepare(`update letters set state = 'sent', sent_at = ? where once_key = ?`).run(at, onceKey)
}
