/** The outbox and the post together: real database, real SMTP server, a clock of our own. */
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import fc from 'fast-check'
import PostalMime from 'postal-mime'
import { expect, onTestFinished, test } from 'vitest'
import {
  findLetter,
  listLetters,
  type NewLetter,
  noteLetterDomain,
  storeLetter,
  takeLetter,
  tryLetterAgain,
} from '../../../server/store/letters.ts'
import { stopLetters } from '../../../server/store/lettersStopped.ts'
import type { Database } from '../../../server/store/open.ts'
import { people } from '../../../server/store/schema.ts'
import { createFolderPost } from '../../../server/watch/post/folderPost.ts'
import { createMailer } from '../../../server/watch/post/mailer.ts'
import type { Post } from '../../../server/watch/post/post.ts'
import { createSmtpPost } from '../../../server/watch/post/smtpPost.ts'
import { addHouse, scratchDatabase } from '../../support/database.ts'
import { header, mailServer, refusal } from '../../support/mailServer.ts'

const START = Date.UTC(2026, 6, 1, 12)
const MINUTE = 60_000
const FROM = 'Example Drainage <letters@maple.example>'

const letter = (over: Partial<NewLetter> = {}): NewLetter => ({
  onceKey: 'once',
  kind: 'soon',
  toAddress: 'ann@owner.example',
  toName: 'Ann Invented',
  subject: 'Damp under the bath since June 28',
  text: 'Words.\n',
  html: '<p>Words. <img src="cid:picture" alt="wood, 4 weeks"></p>',
  createdAt: START,
  ...over,
})

/** A mailer over SMTP with a clock that a test moves. */
function office(db: Database, url: string, over: { post?: Post; perMinute?: number } = {}) {
  const clock = { at: START }
  const undelivered: string[] = []
  const ways: (string | null)[] = []
  const mailer = createMailer({
    db,
    post: over.post ?? createSmtpPost({ url, from: FROM, patienceMs: 3000 }),
    now: () => clock.at,
    ...(over.perMinute !== undefined && { perMinute: over.perMinute }),
    onUndelivered: async ({ subject }, problem) => void undelivered.push(`${subject}: ${problem}`),
    onPost: (problem) => ways.push(problem),
  })
  onTestFinished(() => mailer.stop())
  return { clock, mailer, undelivered, ways }
}

test('a letter goes once with its headers, words, picture and calendar, from an empty return path', async () => {
  const db = scratchDatabase()
  const server = await mailServer()
  const { mailer } = office(db, server.url)
  await noteLetterDomain(db, 'maple.example')
  const png = Buffer.from('89504e470d0a1a0a', 'hex')
  const full = letter({
    picture: { png, alt: 'Wood under the bath, 12 to 21 percent' },
    calendar: 'BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n',
    unsubscribeUrl: 'https://under.example/stop/abc.def',
  })
  expect(await storeLetter(db, full)).toBe(true)
  expect(await storeLetter(db, full)).toBe(false)
  await mailer.run()
  await mailer.run()

  expect(server.mails).toHaveLength(1)
  const [sent] = server.mails as [(typeof server.mails)[0]]
  expect(sent.envelopeFrom).toBe('')
  expect(sent.envelopeTo).toEqual(['ann@owner.example'])
  const { mail } = sent
  expect(mail.from).toMatchObject({ name: 'Example Drainage', address: 'letters@maple.example' })
  expect(mail.to).toMatchObject([{ name: 'Ann Invented', address: 'ann@owner.example' }])
  expect(header(sent, 'Auto-Submitted')).toBe('auto-generated')
  expect(header(sent, 'List-Unsubscribe')).toBe('<https://under.example/stop/abc.def>')
  expect(header(sent, 'List-Unsubscribe-Post')).toBe('List-Unsubscribe=One-Click')
  expect(new Date(header(sent, 'Date')!).getTime()).toBe(START)
  expect(mail.messageId).toMatch(/^<[0-9a-f-]{36}@maple\.example>$/)
  expect(mail.text?.trim()).toBe('Words.')
  const picture = mail.attachments.find(({ mimeType }) => mimeType === 'image/png')!
  expect(Buffer.from(picture.content as ArrayBuffer)).toEqual(png)
  expect(mail.html).toContain(`src="cid:${picture.contentId!.slice(1, -1)}"`)
  expect(picture.disposition).toBe('inline')
  expect(mail.attachments.map(({ mimeType }) => mimeType)).toContain('text/calendar')
  const stored = (await findLetter(db, 1))!
  expect(stored).toMatchObject({ state: 'sent', attempts: 1, problem: null, messageId: mail.messageId })
})

test('without TLS there is an address to stop at, but no promise of one click (RFC 8058)', async () => {
  const db = scratchDatabase()
  const server = await mailServer()
  const { mailer } = office(db, server.url)
  await storeLetter(db, letter({ unsubscribeUrl: 'http://127.0.0.1:8484/stop/abc.def' }))
  await mailer.run()
  expect(header(server.mails[0]!, 'List-Unsubscribe')).toBe('<http://127.0.0.1:8484/stop/abc.def>')
  expect(header(server.mails[0]!, 'List-Unsubscribe-Post')).toBeNull()
})

test('a server that is away for a day gets everything once it is back, alarms first', async () => {
  const db = scratchDatabase()
  const first = await mailServer()
  const { port } = first
  await first.stop()
  const { mailer, clock, ways } = office(db, `smtp://127.0.0.1:${port}`)
  await storeLetter(db, letter({ onceKey: 'damp' }))
  await storeLetter(db, letter({ onceKey: 'water', kind: 'urgent', subject: 'Water' }))
  for (let minute = 0; minute < 24 * 60; minute += 0.5) {
    clock.at = START + minute * MINUTE
    await mailer.run()
  }
  expect(mailer.problem()).toContain('not reached')
  expect(ways).toHaveLength(1)
  expect((await listLetters(db, { most: 9 })).map(({ state }) => state)).toEqual(['waiting', 'waiting'])

  const back = await mailServer({ port })
  for (let minute = 0; minute <= 30; minute += 0.5) {
    clock.at = START + (24 * 60 + minute) * MINUTE
    await mailer.run()
  }
  expect(back.mails.map(({ mail }) => mail.subject)).toEqual(['Water', 'Damp under the bath since June 28'])
  const sent = await listLetters(db, { most: 9 })
  expect(sent.every(({ state }) => state === 'sent')).toBe(true)
  // The alarm was there five minutes after the server at most.
  expect(sent.find(({ kind }) => kind === 'urgent')!.sentAt! - (START + 24 * 60 * MINUTE)).toBeLessThanOrEqual(
    5 * MINUTE,
  )
  expect(ways).toEqual([expect.any(String), null])
  expect(mailer.problem()).toBeNull()
}, 60_000)

test('a server that wants to see a stranger twice is asked again after a minute, under the same Message-ID', async () => {
  const db = scratchDatabase()
  let seen = 0
  const server = await mailServer({
    onRecipient: () => (++seen === 1 ? refusal(451, '4.7.1 Greylisted, come again') : null),
  })
  const { mailer, clock, ways } = office(db, server.url)
  await storeLetter(db, letter())
  await mailer.run()
  const held = (await findLetter(db, 1))!
  expect(held).toMatchObject({ state: 'waiting', attempts: 1, notBeforeAt: START + MINUTE })
  expect(held.problem).toContain('Greylisted')
  clock.at += MINUTE - 1
  await mailer.run()
  expect(server.mails).toHaveLength(0)
  clock.at += 1
  await mailer.run()
  expect(server.mails.map(({ mail }) => mail.messageId)).toEqual([held.messageId])
  expect(ways).toEqual([])
})

test('a letter that nobody takes is given up after five days, and an alarm given up is told of', async () => {
  const db = scratchDatabase()
  const server = await mailServer({ onRecipient: () => refusal(450, '4.2.0 Later') })
  const { mailer, clock, undelivered } = office(db, server.url)
  await storeLetter(db, letter({ kind: 'urgent', subject: 'Water' }))
  for (let hour = 0; hour <= 5 * 24 + 1; hour += 11) {
    clock.at = START + hour * 60 * MINUTE
    await mailer.run()
  }
  expect(await findLetter(db, 1)).toMatchObject({ state: 'given up', addressRefused: false })
  expect(undelivered).toEqual([expect.stringContaining('Water: ')])
})

test('a letter of long ago that somebody sends again is not given up because a server wants to see it twice', async () => {
  const db = scratchDatabase()
  let refuse = true
  const server = await mailServer({ onRecipient: () => (refuse ? refusal(450, '4.2.0 Later') : null) })
  const { mailer, clock } = office(db, server.url)
  await storeLetter(db, letter())
  for (let hour = 0; hour <= 5 * 24 + 1; hour += 11) {
    clock.at = START + hour * 60 * MINUTE
    await mailer.run()
  }
  expect(await findLetter(db, 1)).toMatchObject({ state: 'given up' })
  clock.at += 20 * 24 * 60 * MINUTE
  expect(await tryLetterAgain(db, 1, clock.at)).toBe(true)
  await mailer.run()
  expect(await findLetter(db, 1)).toMatchObject({ state: 'waiting', notBeforeAt: clock.at + MINUTE })
  refuse = false
  clock.at += MINUTE
  await mailer.run()
  expect(await findLetter(db, 1)).toMatchObject({ state: 'sent' })
})

test('an address that is refused twice for good gets no more, and that is told once; trying again mends it', async () => {
  const db = scratchDatabase()
  let gone = true
  const server = await mailServer({
    onRecipient: (address) => (gone && address.startsWith('ann') ? refusal(550, '5.1.1 No such user') : null),
  })
  const { mailer, undelivered } = office(db, server.url)
  for (const onceKey of ['1', '2', '3']) await storeLetter(db, letter({ onceKey }))
  await storeLetter(db, letter({ onceKey: 'other', toAddress: 'ben@owner.example' }))
  await mailer.run()
  expect(server.asked).toEqual(['ann@owner.example', 'ann@owner.example', 'ben@owner.example'])
  expect(undelivered).toHaveLength(1)
  expect((await listLetters(db, { most: 9 })).map(({ state }) => state)).toEqual([
    'sent',
    'given up',
    'given up',
    'given up',
  ])
  expect((await findLetter(db, 3))!.problem).toContain('Not tried')

  gone = false
  expect(await tryLetterAgain(db, 3, START)).toBe(true)
  await mailer.run()
  expect(await findLetter(db, 3)).toMatchObject({ state: 'sent' })
  await storeLetter(db, letter({ onceKey: '5' }))
  await mailer.run()
  expect(await findLetter(db, 5)).toMatchObject({ state: 'sent' })
})

test('a refusal of our policy is no word about the address', async () => {
  const db = scratchDatabase()
  const server = await mailServer({ onRecipient: () => refusal(550, '5.7.1 Your address is on a list') })
  const { mailer, undelivered } = office(db, server.url)
  for (const onceKey of ['1', '2', '3']) await storeLetter(db, letter({ onceKey }))
  await mailer.run()
  expect(server.asked).toHaveLength(3)
  expect(undelivered).toEqual([])
  expect((await findLetter(db, 3))!).toMatchObject({ state: 'given up', addressRefused: false })
})

test('a server that refuses the words gives that letter up and takes the next', async () => {
  const db = scratchDatabase()
  const server = await mailServer({
    onLetter: (raw) => (raw.includes('Subject: Bad') ? refusal(554, '5.6.0 No') : null),
  })
  const { mailer } = office(db, server.url)
  await storeLetter(db, letter({ onceKey: 'bad', subject: 'Bad' }))
  await storeLetter(db, letter({ onceKey: 'good' }))
  await mailer.run()
  expect((await listLetters(db, { most: 9 })).map(({ state }) => state)).toEqual(['sent', 'given up'])
})

test('a server that demands a sender is given ours, and asked without only once', async () => {
  const db = scratchDatabase()
  const senders: string[] = []
  const server = await mailServer({
    onSender(address) {
      senders.push(address)
      return address === '' ? refusal(550, '5.7.1 A sender is required') : null
    },
  })
  const { mailer } = office(db, server.url)
  await storeLetter(db, letter({ onceKey: '1' }))
  await storeLetter(db, letter({ onceKey: '2' }))
  await mailer.run()
  expect(senders).toEqual(['', 'letters@maple.example', 'letters@maple.example'])
  expect(server.mails).toHaveLength(2)
})

test('no more letters a minute than allowed, alarms and account letters before the rest', async () => {
  const db = scratchDatabase()
  const server = await mailServer()
  const { mailer, clock } = office(db, server.url, { perMinute: 2 })
  for (const onceKey of ['1', '2', '3']) await storeLetter(db, letter({ onceKey, subject: onceKey }))
  await storeLetter(db, letter({ onceKey: 'water', kind: 'urgent', subject: 'Water' }))
  await storeLetter(db, letter({ onceKey: 'account', kind: 'invitation', secret: true, subject: 'Invitation' }))
  await mailer.run()
  expect(server.mails.map(({ mail }) => mail.subject)).toEqual(['Water', 'Invitation'])
  await mailer.run()
  expect(server.mails).toHaveLength(2)
  clock.at += MINUTE
  await mailer.run()
  clock.at += MINUTE
  await mailer.run()
  expect(server.mails.map(({ mail }) => mail.subject)).toEqual(['Water', 'Invitation', '1', '2', '3'])
})

test('the words of a secret letter are wiped once it went, and once it is given up', async () => {
  const db = scratchDatabase()
  const server = await mailServer({ onRecipient: (address) => (address.startsWith('no') ? refusal(550, 'No') : null) })
  const { mailer } = office(db, server.url)
  await storeLetter(db, letter({ onceKey: '1', secret: true, text: 'code 12345', html: '<p>code 12345' }))
  await storeLetter(
    db,
    letter({ onceKey: '2', secret: true, text: 'code 12345', html: '<p>', toAddress: 'no@b.example' }),
  )
  await mailer.run()
  expect(server.mails[0]!.mail.text).toContain('code 12345')
  for (const id of [1, 2]) expect(await findLetter(db, id)).toMatchObject({ text: '', html: '' })
  expect(await tryLetterAgain(db, 2, START)).toBe(false)
})

test('quiet hours hold a letter back, and a class stopped meanwhile keeps it here; others of its person still go', async () => {
  const db = scratchDatabase()
  const houseId = addHouse(db)
  const person = { email: 'ann@owner.example', name: 'Ann', role: 'owner' as const, createdAt: 0 }
  const personId = db.orm.insert(people).values(person).returning({ id: people.id }).get().id
  const server = await mailServer()
  const { mailer, clock } = office(db, server.url)
  const of = { personId, houseId }
  await storeLetter(db, letter({ onceKey: 'news', kind: 'weekly', ...of, notBeforeAt: START + MINUTE }))
  await storeLetter(
    db,
    letter({ onceKey: 'water', kind: 'urgent', subject: 'Water', ...of, notBeforeAt: START + MINUTE }),
  )
  await mailer.run()
  expect(server.mails).toHaveLength(0)
  await stopLetters(db, { ...of, letterClass: 'news' }, START)
  clock.at += MINUTE
  await mailer.run()
  expect(server.mails.map(({ mail }) => mail.subject)).toEqual(['Water'])
  expect(await findLetter(db, 1)).toMatchObject({ state: 'not wanted' })
})

test('letters that were taken and never marked are taken again after ten minutes, and an old holder no longer counts', async () => {
  const db = scratchDatabase()
  await storeLetter(db, letter())
  const lost = (await takeLetter(db, START, START - 10 * MINUTE))!
  expect(await takeLetter(db, START + 10 * MINUTE, START)).toBeNull()
  const again = (await takeLetter(db, START + 10 * MINUTE + 1, START + 1))!
  expect(again).toMatchObject({ id: lost.id, messageId: lost.messageId, attempts: 2 })
})

test('in a folder letters are whole messages that only their owner may read', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'underjoist-letters-'))
  onTestFinished(() => rmSync(folder, { recursive: true }))
  const db = scratchDatabase()
  const { mailer } = office(db, '', { post: createFolderPost({ folder: join(folder, 'out'), from: FROM }) })
  await storeLetter(db, letter())
  await mailer.run()
  const [name, ...more] = readdirSync(join(folder, 'out'))
  expect([name, more]).toEqual(['2026-07-01-000001.eml', []])
  const path = join(folder, 'out', name!)
  expect(statSync(path).mode & 0o777).toBe(0o600)
  const mail = await PostalMime.parse(readFileSync(path))
  expect(mail).toMatchObject({
    subject: 'Damp under the bath since June 28',
    messageId: (await findLetter(db, 1))!.messageId,
  })
})

test('an address that is none is never given to a server', async () => {
  const db = scratchDatabase()
  const server = await mailServer()
  const { mailer } = office(db, server.url)
  const hostile = [
    '',
    'ann',
    'a b@c.example',
    'ann@x.example,eve@y.example',
    'ann@x.example\r\nRCPT TO:<eve@y.example>',
    '<eve@y.example>',
  ]
  for (const toAddress of hostile) await storeLetter(db, letter({ onceKey: `to ${toAddress}`, toAddress }))
  await mailer.run()
  expect(server.asked).toEqual([])
  expect((await listLetters(db, { most: 9 })).every(({ state }) => state === 'given up')).toBe(true)
})

test('whatever a name or a subject holds, no header and no recipient comes of it', async () => {
  const db = scratchDatabase()
  const server = await mailServer()
  const { mailer } = office(db, server.url, { perMinute: 1000 })
  const plainHeaders = new Set<string>()
  await storeLetter(db, letter({ onceKey: 'plain' }))
  await mailer.run()
  for (const { key } of server.mails[0]!.mail.headers) plainHeaders.add(key)
  const nasty = fc
    .array(
      fc.constantFrom(
        '\r\n',
        '\n',
        '\r',
        '\0',
        '\u2028',
        '\u202e',
        '\u0085',
        'Bcc: eve@y.example',
        'X-Own: 1',
        ' ',
        '<',
        '>',
        '"',
        ',',
        '=?utf-8?q?=0D=0ABcc:=20eve@y.example?=',
        'é',
        '🙂',
        '.',
        '\r\n.\r\n',
        ';',
        '\\',
      ),
      { minLength: 1, maxLength: 12 },
    )
    .map((parts) => parts.join(''))
  let n = 0
  await fc.assert(
    fc.asyncProperty(nasty, nasty, async (toName, subject) => {
      const before = server.mails.length
      await storeLetter(db, letter({ onceKey: `nasty ${++n}`, toName, subject: `Damp ${subject}` }))
      await mailer.run()
      const got = server.mails.slice(before)
      expect(got).toHaveLength(1)
      expect(got[0]!.envelopeTo).toEqual(['ann@owner.example'])
      expect(got[0]!.mail.to?.map(({ address }) => address)).toEqual(['ann@owner.example'])
      expect(got[0]!.mail.bcc ?? []).toEqual([])
      expect(new Set(got[0]!.mail.headers.map(({ key }) => key))).toEqual(plainHeaders)
      expect(got[0]!.mail.text?.trim()).toBe('Words.')
    }),
    { numRuns: 40, seed: 7 },
  )
}, 60_000)
