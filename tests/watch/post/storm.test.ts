/** One storm wets 40 houses: the firm reads two letters, each owner their own. */
import { expect, test } from 'vitest'
import { createSigner } from '../../../server/people/signed.ts'
import { findLetter, listLetters } from '../../../server/store/letters.ts'
import { stopLetters } from '../../../server/store/lettersStopped.ts'
import type { Database } from '../../../server/store/open.ts'
import { houses, noticeChanges, notices, people, personHouses } from '../../../server/store/schema.ts'
import { writeDueLetters } from '../../../server/watch/post/clerk.ts'
import type { ChangeBody, NoticeChangeKind, Watch } from '../../../server/watch/types.ts'
import { scratchDatabase } from '../../support/database.ts'

const MINUTE = 60_000
const HOUR = 60 * MINUTE
const AT = Date.UTC(2026, 6, 2, 2)

const bodyOf = (sinceAt: number): ChangeBody => ({
  audience: ['owner', 'contractor'],
  place: { spot: 'crawl/low', spotName: 'low point', spaceName: 'crawl space' },
  alsoAt: [],
  about: null,
  circumstances: [],
  numbers: {},
  urgency: 'urgent',
  sinceAt,
  tell: ['owner', 'contractor'],
  quiet: null,
})

function change(db: Database, noticeId: number, at: number, kind: NoticeChangeKind, sinceAt = at): void {
  const body = { ...bodyOf(sinceAt), ...(kind === 'cleared' && { overAt: at }) }
  db.orm.insert(noticeChanges).values({ noticeId, at, change: kind, who: 'the watch', body }).run()
}

function open(db: Database, houseId: number, watch: Watch, at: number): number {
  const row = { houseId, watch, cause: '', urgency: 'urgent' as const, sinceAt: at, openedAt: at, updatedAt: at }
  const added = db.orm
    .insert(notices)
    .values({ ...row, body: bodyOf(at) })
    .returning({ id: notices.id })
    .get()
  change(db, added.id, at, 'opened')
  return added.id
}

async function town(count: number) {
  const db = scratchDatabase()
  const add = (name: string, role: 'owner' | 'contractor') =>
    db.orm
      .insert(people)
      .values({ email: `${name}@x.example`, name, role, createdAt: 0 })
      .returning({ id: people.id })
      .get().id
  const contractor = add('con', 'contractor')
  const houseIds = Array.from({ length: count }, (_, i) => {
    const row = { key: `h${i + 1}`, name: `House ${i + 1}`, timeZone: 'America/New_York', createdAt: 0 }
    const houseId = db.orm.insert(houses).values(row).returning({ id: houses.id }).get().id
    db.orm
      .insert(personHouses)
      .values({ personId: add(`owner${i + 1}`, 'owner'), houseId, since: 0 })
      .run()
    return houseId
  })
  const signer = await createSigner(db)
  const round = (at: number) => writeDueLetters({ db, now: () => at, publicUrl: 'https://under.example', signer })
  const letters = async () => (await listLetters(db, { most: 999 })).reverse()
  const toFirm = async () => (await letters()).filter(({ personId }) => personId === contractor)
  return { db, houseIds, contractor, round, letters, toFirm }
}

test('40 houses in a storm: the first at once, the others together after 15 minutes, by rank; owners their own', async () => {
  const { db, houseIds, round, letters, toFirm } = await town(40)
  for (const [i, houseId] of houseIds.entries())
    open(db, houseId, i === 39 ? 'power lost' : 'liquid water', AT + i * 10_000)
  const seen = AT + 7 * MINUTE
  await round(seen)
  expect((await toFirm()).map(({ subject, houseId }) => [subject, houseId])).toEqual([
    ['Urgent: water under the house, House 1', houseIds[0]],
  ])
  await round(seen + 14 * MINUTE)
  expect(await toFirm()).toHaveLength(1)
  await round(seen + 15 * MINUTE)
  await round(seen + 16 * MINUTE)
  const [, group, ...more] = await toFirm()
  expect(more).toEqual([])
  expect(group).toMatchObject({ kind: 'urgent', subject: 'Urgent: water, frost or no power, 39 houses', houseId: null })
  const { text } = (await findLetter(db, group!.id))!
  const order = [...text.matchAll(/^House (\d+): /gm)].map(([, number]) => Number(number))
  // Liquid water first, of that the newest; the house without power last, though it is the newest of all.
  expect(order).toEqual([...Array.from({ length: 38 }, (_, i) => 39 - i), 40])
  expect(text).toContain('New. Water under the house.')
  const toOwners = (await letters()).filter(({ toAddress }) => toAddress.startsWith('owner'))
  expect(toOwners.map(({ toAddress }) => toAddress).sort()).toEqual(
    houseIds.map((_, i) => `owner${i + 1}@x.example`).sort(),
  )
  expect(toOwners.every(({ createdAt, notBeforeAt }) => createdAt === seen && notBeforeAt === seen)).toBe(true)
}, 120_000)

test('nobody answers, and it dries: told together too, and what waits outlives a restart', async () => {
  const { db, houseIds, round, toFirm } = await town(5)
  const ids = houseIds.map((houseId) => open(db, houseId, 'liquid water', AT))
  await round(AT)
  await round(AT + 15 * MINUTE)
  expect(await toFirm()).toHaveLength(2)
  for (let minute = 24 * 60; minute <= 26 * 60; minute += 5) await round(AT + minute * MINUTE)
  expect((await toFirm()).slice(2).map(({ subject }) => subject)).toEqual([
    'Urgent: nobody has acknowledged: water under the house, House 1',
    'Urgent: water under the house, 4 houses',
  ])
  const over = AT + 60 * HOUR
  for (const id of ids) {
    change(db, id, over, 'cleared', AT)
    db.raw.prepare('update notices set cleared_at = ? where id = ?').run(over, id)
  }
  await round(over)
  await round(over + 20 * MINUTE)
  const [first, rest] = (await toFirm()).slice(4)
  expect([first!.subject, rest!.subject, rest!.kind]).toEqual([
    'Over: water under the house, House 1',
    'Over, 4 houses',
    'urgent all clear',
  ])
})

test('a second house alone is told as ever, 15 minutes later; another day at once; a stopped house not at all', async () => {
  const { db, houseIds, contractor, round, toFirm } = await town(4)
  await stopLetters(db, { personId: contractor, houseId: houseIds[2]!, letterClass: 'alarms' }, 0)
  open(db, houseIds[0]!, 'liquid water', AT)
  await round(AT)
  open(db, houseIds[1]!, 'liquid water', AT + MINUTE)
  open(db, houseIds[2]!, 'liquid water', AT + MINUTE)
  await round(AT + MINUTE)
  expect(await toFirm()).toHaveLength(1)
  await round(AT + 16 * MINUTE)
  open(db, houseIds[3]!, 'liquid water', AT + 12 * HOUR)
  await round(AT + 12 * HOUR)
  expect((await toFirm()).map(({ subject }) => subject)).toEqual(
    [1, 2, 4].map((number) => `Urgent: water under the house, House ${number}`),
  )
})

test('what waited is told of the houses that somebody still hears of, and of no other under their name', async () => {
  const { db, houseIds, contractor, round, toFirm } = await town(3)
  for (const houseId of houseIds) open(db, houseId, 'liquid water', AT)
  await round(AT)
  await stopLetters(db, { personId: contractor, houseId: houseIds[2]!, letterClass: 'alarms' }, AT)
  await round(AT + 15 * MINUTE)
  expect((await toFirm()).map(({ subject, houseId }) => [subject, houseId])).toEqual([
    ['Urgent: water under the house, House 1', houseIds[0]],
    ['Urgent: water under the house, House 2', houseIds[1]],
  ])
})
