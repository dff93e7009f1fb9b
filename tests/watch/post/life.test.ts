/** A notice's whole life as letters: opened, unanswered, over; through the outbox and a real mail server. */
import { expect, onTestFinished, test } from 'vitest'
import { createSigner } from '../../../server/people/signed.ts'
import { listLetters } from '../../../server/store/letters.ts'
import { stopLetters } from '../../../server/store/lettersStopped.ts'
import type { Database } from '../../../server/store/open.ts'
import { firm, noticeChanges, notices, people, personHouses, type Role } from '../../../server/store/schema.ts'
import { writeDueLetters } from '../../../server/watch/post/clerk.ts'
import { createMailer } from '../../../server/watch/post/mailer.ts'
import { createSmtpPost } from '../../../server/watch/post/smtpPost.ts'
import type { ChangeBody, NoticeChangeKind, Urgency, Watch } from '../../../server/watch/types.ts'
import { addHouse, scratchDatabase } from '../../support/database.ts'
import { header, mailServer } from '../../support/mailServer.ts'

const HOUR = 3_600_000
/** Ten in the evening in New York: quiet hours. */
const NIGHT = Date.UTC(2026, 6, 2, 2)
const PUBLIC = 'https://under.example'

function addPerson(db: Database, houseId: number, role: Role, units: 'us' | 'si' = 'us'): number {
  const row = { email: `${role}@x.example`, name: `Ann\r\nBcc: eve@y.example ${role}`, role, units, createdAt: 0 }
  const personId = db.orm.insert(people).values(row).returning({ id: people.id }).get().id
  if (role !== 'contractor') db.orm.insert(personHouses).values({ personId, houseId, since: 0 }).run()
  return personId
}

const bodyOf = (over: Partial<ChangeBody> = {}): ChangeBody => ({
  audience: ['owner', 'contractor'],
  place: { spot: 'crawl/low', spotName: 'low point by the hatch', spaceName: 'crawl space' },
  alsoAt: [],
  about: null,
  circumstances: [],
  numbers: {},
  urgency: 'urgent',
  sinceAt: NIGHT - HOUR / 2,
  tell: ['owner', 'contractor'],
  quiet: null,
  ...over,
})

function addNotice(db: Database, houseId: number, watch: Watch, urgency: Urgency, openedAt: number): number {
  const row = { houseId, watch, cause: '', urgency, sinceAt: openedAt, openedAt, updatedAt: openedAt, body: bodyOf() }
  return db.orm.insert(notices).values(row).returning({ id: notices.id }).get().id
}

const addChange = (db: Database, noticeId: number, at: number, change: NoticeChangeKind, body: ChangeBody) =>
  db.orm.insert(noticeChanges).values({ noticeId, at, change, who: 'the watch', body }).run()

async function office() {
  const db = scratchDatabase()
  const houseId = addHouse(db)
  db.orm.insert(firm).values({ name: 'Example Drainage', phone: '(555) 010-4477' }).run()
  const server = await mailServer()
  const clock = { at: NIGHT }
  const now = () => clock.at
  const signer = await createSigner(db)
  const post = createSmtpPost({ url: server.url, from: 'Example Drainage <letters@maple.example>' })
  const mailer = createMailer({ db, post, now, onUndelivered: async () => {}, onPost: () => {} })
  onTestFinished(() => mailer.stop())
  const round = async (at: number) => {
    clock.at = at
    await writeDueLetters({ db, now, publicUrl: PUBLIC, signer })
    await mailer.run()
  }
  return { db, houseId, server, round }
}

test('water: told at once to all, told again when nobody answers, and over by day, as one thread for each', async () => {
  const { db, houseId, server, round } = await office()
  for (const role of ['owner', 'contractor', 'technician'] as const) addPerson(db, houseId, role)
  const notice = addNotice(db, houseId, 'liquid water', 'urgent', NIGHT)
  addChange(db, notice, NIGHT, 'opened', bodyOf())
  await round(NIGHT)
  await round(NIGHT + 60_000) // a second look makes no second letter
  expect(server.mails.map(({ envelopeTo }) => envelopeTo[0]).sort()).toEqual([
    'contractor@x.example',
    'owner@x.example',
    'technician@x.example',
  ])
  const toOwner = server.mails.find(({ envelopeTo }) => envelopeTo[0] === 'owner@x.example')!
  expect(toOwner.mail.subject).toBe('Urgent: water under the house since Wednesday, July 1, 9:30 PM')
  expect(toOwner.mail.bcc ?? []).toEqual([])
  const words = toOwner.mail.text!
  const order = [
    'There is water',
    'low point by the hatch',
    'HOW URGENT',
    'WHAT TO DO NOW',
    '3. ',
    'TAKE CARE',
    'licensed electrician',
    'WHAT WE DO',
    'WHOM TO CALL',
    'Example Drainage, (555) 010-4477',
    `${PUBLIC}/owner`,
    'do not see carbon monoxide',
  ]
  expect(order.map((piece) => words.indexOf(piece))).toEqual(
    [...order.map((piece) => words.indexOf(piece))].sort((a, b) => a - b),
  )
  expect(order.every((piece) => words.includes(piece))).toBe(true)
  expect(words).not.toContain('4. ')
  expect(`${words}${toOwner.mail.html}`).not.toMatch(/mold|health|structur|<script|http:\/\//i)
  expect(header(toOwner, 'List-Unsubscribe')).toMatch(/^<https:\/\/under\.example\/stop\/[\w-]+\.[\w-]+>$/)
  expect(header(toOwner, 'List-Unsubscribe-Post')).toBe('List-Unsubscribe=One-Click')
  expect(toOwner.mail.html).toContain('href="tel:5550104477"')

  await round(NIGHT + 23 * HOUR)
  expect(server.mails).toHaveLength(3)
  await round(NIGHT + 25 * HOUR)
  const again = server.mails.slice(3)
  expect(again.map(({ envelopeTo }) => envelopeTo[0]).sort()).toEqual([
    'contractor@x.example',
    'owner@x.example',
    'technician@x.example',
  ])
  const toFirm = again.find(({ envelopeTo }) => envelopeTo[0] === 'contractor@x.example')!
  expect(toFirm.mail.subject).toContain('nobody has acknowledged')
  await round(NIGHT + 60 * HOUR)
  expect(server.mails).toHaveLength(6)

  addChange(db, notice, NIGHT + 72 * HOUR, 'cleared', bodyOf({ overAt: NIGHT + 71 * HOUR }))
  await round(NIGHT + 72 * HOUR)
  expect(server.mails).toHaveLength(6) // ten in the evening: it can wait
  await round(NIGHT + 81 * HOUR) // seven in the morning
  const over = server.mails.slice(6)
  expect(over).toHaveLength(3)
  const clear = over.find(({ envelopeTo }) => envelopeTo[0] === 'owner@x.example')!
  expect(clear.mail.subject).toContain('All clear')
  expect(header(clear, 'In-Reply-To')).toBe(toOwner.mail.messageId)
  expect(header(clear, 'References')).toBe(toOwner.mail.messageId)
}, 30_000)

test.each([
  ['{}', 'Thursday, July 2', 'Saturday, July 4'],
  ['{"answerUrgentHours":48,"answerSoonHours":120}', 'Friday, July 3', 'Monday, July 6'],
  // What cannot hold keeps no alarm from going out.
  ['{"answerUrgentHours":48,"answerSoonHours":"never"}', 'Thursday, July 2', 'Saturday, July 4'],
])('by when an owner hears from the firm is the firm’s own setting: %s', async (settings, urgentBy, soonBy) => {
  const { db, houseId, server, round } = await office()
  addPerson(db, houseId, 'owner')
  db.raw.prepare('update firm set settings = ?').run(settings)
  addChange(db, addNotice(db, houseId, 'liquid water', 'urgent', NIGHT), NIGHT, 'opened', bodyOf())
  addChange(db, addNotice(db, houseId, 'damp', 'soon', NIGHT), NIGHT, 'opened', bodyOf({ urgency: 'soon' }))
  await round(NIGHT)
  await round(NIGHT + 10 * HOUR)
  const words = server.mails.map(({ mail }) => mail.text!)
  expect(words.find((text) => text.includes('There is water'))).toContain(`You hear from us by ${urgentBy}`)
  expect(words.find((text) => text.includes('too damp'))).toContain(`You hear from us by ${soonBy}`)
})

test('an acknowledged notice is not told again', async () => {
  const { db, houseId, server, round } = await office()
  addPerson(db, houseId, 'owner')
  const notice = addNotice(db, houseId, 'liquid water', 'urgent', NIGHT)
  addChange(db, notice, NIGHT, 'opened', bodyOf())
  await round(NIGHT)
  db.raw.prepare('update notices set acknowledged_at = ?').run(NIGHT + HOUR)
  await round(NIGHT + 30 * HOUR)
  expect(server.mails).toHaveLength(1)
})

test('an owner gets two letters that can wait in 30 days and every alarm; the firm gets all; mold is the firm’s alone', async () => {
  const { db, houseId, server, round } = await office()
  addPerson(db, houseId, 'owner', 'si')
  addPerson(db, houseId, 'contractor')
  const DAY = NIGHT + 14 * HOUR
  const soon = bodyOf({ urgency: 'soon', numbers: { rhPct: 71, lineRhPct: 65 } })
  for (let i = 0; i < 4; i++) {
    const id = addNotice(db, houseId, 'damp', 'soon', DAY)
    addChange(db, id, DAY + i * HOUR, 'opened', soon)
    addChange(db, id, DAY + i * HOUR, 'cleared', soon)
    db.raw.prepare('update notices set cleared_at = ? where id = ?').run(DAY, id)
  }
  addChange(db, addNotice(db, houseId, 'mold', 'soon', DAY), DAY, 'opened', { ...soon, numbers: { moldIndex: 3.2 } })
  addChange(db, addNotice(db, houseId, 'freezing', 'urgent', DAY), DAY, 'opened', bodyOf({ numbers: { tempC: -1.2 } }))
  await round(DAY)
  const to = (role: string) => server.mails.filter(({ envelopeTo }) => envelopeTo[0]!.startsWith(role))
  const kinds = (await listLetters(db, { most: 99 }))
    .filter(({ toAddress }) => toAddress.startsWith('owner'))
    .map(({ kind }) => kind)
  expect(kinds.sort()).toEqual(['soon', 'soon all clear', 'urgent'])
  expect(to('contractor')).toHaveLength(10)
  expect(
    to('owner')
      .map(({ mail }) => mail.text)
      .join(),
  ).toContain('−1.2\u00a0°C')
  expect(
    to('owner')
      .map(({ mail }) => mail.text)
      .join(),
  ).not.toMatch(/mold/i)
}, 30_000)

test('stopping what can wait leaves the alarms', async () => {
  const { db, houseId, server, round } = await office()
  const personId = addPerson(db, houseId, 'owner')
  for (const letterClass of ['soon', 'news', 'upkeep']) await stopLetters(db, { personId, houseId, letterClass }, 0)
  const DAY = NIGHT + 14 * HOUR
  addChange(db, addNotice(db, houseId, 'damp', 'soon', DAY), DAY, 'opened', bodyOf({ urgency: 'soon' }))
  addChange(db, addNotice(db, houseId, 'power lost', 'urgent', DAY), DAY, 'opened', bodyOf())
  await round(DAY)
  expect(server.mails.map(({ mail }) => mail.subject)).toEqual([expect.stringContaining('power lost')])
})

test('what the watch keeps quiet is not written about', async () => {
  const { db, houseId, server, round } = await office()
  addPerson(db, houseId, 'owner')
  addChange(
    db,
    addNotice(db, houseId, 'damp', 'soon', 0),
    0,
    'opened',
    bodyOf({ urgency: 'soon', tell: [], quiet: 'old readings' }),
  )
  await round(NIGHT + 14 * HOUR)
  await round(NIGHT + 60 * HOUR)
  expect(server.mails).toEqual([])
})
