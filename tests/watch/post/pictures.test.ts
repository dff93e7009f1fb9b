/** The picture of a letter, from stored hours to the mail that holds it. */
import { createCanvas, loadImage } from '@napi-rs/canvas'
import { expect, onTestFinished, test } from 'vitest'
import { createSigner } from '../../../server/people/signed.ts'
import { markBit } from '../../../server/series/marks.ts'
import type { HouseTree } from '../../../server/store/houseTree.ts'
import type { Database } from '../../../server/store/open.ts'
import { refreshHourly } from '../../../server/store/refreshHourly.ts'
import { noticeChanges, notices, people, personHouses } from '../../../server/store/schema.ts'
import { spotHistory } from '../../../server/store/spotHistory.ts'
import { drawPicture } from '../../../server/watch/letters/picture.ts'
import { writeDueLetters } from '../../../server/watch/post/clerk.ts'
import { createMailer } from '../../../server/watch/post/mailer.ts'
import { pictureOf } from '../../../server/watch/post/pictureOf.ts'
import { createSmtpPost } from '../../../server/watch/post/smtpPost.ts'
import type { ChangeBody } from '../../../server/watch/types.ts'
import { scratchDatabase } from '../../support/database.ts'
import { mailServer } from '../../support/mailServer.ts'
import { storeTestHouse } from '../../support/studiedHouse.ts'

const HOUR = 3_600_000
const DAY = 24 * HOUR
const START = Date.UTC(2026, 5, 1)
const DAYS = 28
const NOW = START + DAYS * DAY - 8 * HOUR
/** Another logger takes the place of the first; for two days nothing hangs there. */
const TAKEN = START + 10 * DAY
const HUNG = START + 12 * DAY

const HOUSE: HouseTree = {
  format: 'underjoist house 1',
  key: 'maple',
  name: 'Maple Hollow',
  timeZone: 'UTC',
  spaces: [
    {
      key: 'crawl',
      name: 'Crawl space',
      role: 'crawl space',
      kind: 'closed',
      spots: [
        { key: 'low', name: 'Low corner' },
        { key: 'high', name: 'By the hatch' },
      ],
    },
  ],
  loggers: [
    { key: 'l1', probes: [{ key: 'air', placements: [{ spot: 'crawl/low', from: '2026-06-01', to: '2026-06-11' }] }] },
    { key: 'l2', probes: [{ key: 'air', placements: [{ spot: 'crawl/low', from: '2026-06-13' }] }] },
    { key: 'l3', probes: [{ key: 'air', placements: [{ spot: 'crawl/high', from: '2026-06-01' }] }] },
  ],
}

/** From 50 % up by a point a day; the logger that was taken away goes on elsewhere, at 20 %. */
const rhAt = (at: number): number => 50 + Math.floor((at - START) / DAY) + (Math.floor(at / HOUR) % 2) / 2

async function house() {
  const db = scratchDatabase()
  const at = Float64Array.from({ length: DAYS * 24 }, (_, i) => START + i * HOUR)
  const tempC = at.map((_, i) => 15 + ((i * 7) % 5) / 10)
  const other = at.map((_, i) => 20 + ((i * 7) % 5) / 10)
  const { houseId } = await storeTestHouse(db, HOUSE, {
    'l1/air': { at, tempC, rhPct: at.map((instant, i) => (instant < TAKEN ? rhAt(instant) : other[i]!)) },
    'l2/air': { at, tempC, rhPct: at.map((instant, i) => (instant >= HUNG ? rhAt(instant) : other[i]!)) },
    'l3/air': { at, tempC, rhPct: other },
  })
  await refreshHourly(db)
  return { db, houseId }
}

const body: ChangeBody = {
  audience: ['owner', 'contractor'],
  place: { spot: 'crawl/low', spotName: 'Low corner', spaceName: 'Crawl space' },
  alsoAt: [],
  about: null,
  circumstances: [],
  numbers: { rhPct: 76, lineRhPct: 65 },
  urgency: 'soon',
  sinceAt: NOW - 2 * DAY,
  tell: ['owner', 'contractor'],
  quiet: null,
}

/** Pixels of each color, most common first. */
async function colorsOf(png: Buffer): Promise<{ width: number; height: number; counts: Map<string, number> }> {
  const image = await loadImage(png)
  const canvas = createCanvas(image.width, image.height)
  const c = canvas.getContext('2d')
  c.drawImage(image, 0, 0)
  const { data } = c.getImageData(0, 0, image.width, image.height)
  const counts = new Map<string, number>()
  for (let i = 0; i < data.length; i += 4) {
    const color = `${data[i]} ${data[i + 1]} ${data[i + 2]}`
    counts.set(color, (counts.get(color) ?? 0) + 1)
  }
  return { width: image.width, height: image.height, counts }
}

test('a spot’s history is that of whatever hung there, and nothing is made up between', async () => {
  const { db, houseId } = await house()
  const span = { from: START, to: NOW, stepMs: 6 * HOUR, leftOutBits: 0 }
  const asked = { houseId, spot: 'crawl/low', quantity: 'rhPct' as const, ...span }
  const steps = await spotHistory(db, asked)
  expect(steps.filter(({ at }) => at >= TAKEN && at < HUNG)).toEqual([])
  expect(steps).toHaveLength((DAYS - 2) * 4 - 1)
  for (const { at, value } of steps) expect(value).toBeCloseTo(50 + Math.floor((at - START) / DAY) + 0.25, 1)
  expect(await spotHistory(db, { ...asked, spot: 'crawl/none' })).toEqual([])
  expect(await spotHistory(db, { ...asked, quantity: 'woodMcPct' })).toEqual([])
})

test('what the picture shows: four weeks to now, the gap as a gap, the line that was crossed', async () => {
  const { db, houseId } = await house()
  const picture = (await pictureOf(db, houseId, 'damp', body, NOW))!
  expect(picture.threshold?.value).toBe(65)
  expect(picture.at).toHaveLength(28 * 4)
  expect(picture.at.at(-1)).toBe(Math.ceil(NOW / (6 * HOUR)) * 6 * HOUR - 6 * HOUR)
  const gap = picture.at.flatMap((at, i) => (at >= TAKEN && at < HUNG ? [picture.value[i]!] : []))
  expect(gap).toHaveLength(8)
  expect(gap.every(Number.isNaN)).toBe(true)
  expect(await pictureOf(db, houseId, 'power lost', body, NOW)).toBeNull()
})

test('hours that the watch does not believe are not drawn, nor one in which the logger came or went', async () => {
  const { db, houseId } = await house()
  const day = START + 20 * DAY
  db.raw
    .prepare('update hourly set rh_pct = 5, marks = marks | ? where at >= ? and at < ?')
    .run(markBit('unit swap'), day, day + DAY)
  db.raw.prepare('update placements set to_at = ? where to_at = ?').run(TAKEN + 30 * 60_000, TAKEN)
  const { at, value } = (await pictureOf(db, houseId, 'damp', body, NOW))!
  const within = (from: number, to: number) => value.filter((_, i) => at[i]! >= from && at[i]! < to)
  expect(within(day, day + DAY)).toEqual([Number.NaN, Number.NaN, Number.NaN, Number.NaN])
  expect(within(TAKEN, HUNG).every(Number.isNaN)).toBe(true)
  expect(value.filter(Number.isFinite).every((rhPct) => rhPct >= 50)).toBe(true)
  // A fault of the air sensor says nothing about water.
  db.raw.prepare('update hourly set water_present_share = 1 where at >= ? and at < ?').run(day, day + DAY)
  const water = (await pictureOf(db, houseId, 'liquid water', body, NOW))!
  expect(water.value.filter(Number.isFinite)).toEqual([100, 100, 100, 100])
})

async function mailed(db: Database, houseId: number) {
  const add = { email: 'ann@x.example', name: 'Ann', role: 'owner' as const, createdAt: 0 }
  const personId = db.orm.insert(people).values(add).returning({ id: people.id }).get().id
  db.orm.insert(personHouses).values({ personId, houseId, since: 0 }).run()
  const row = {
    houseId,
    watch: 'damp',
    cause: '',
    urgency: 'soon' as const,
    sinceAt: NOW,
    openedAt: NOW,
    updatedAt: NOW,
  }
  const noticeId = db.orm
    .insert(notices)
    .values({ ...row, body })
    .returning({ id: notices.id })
    .get().id
  db.orm.insert(noticeChanges).values({ noticeId, at: NOW, change: 'opened', who: 'the watch', body }).run()
  const server = await mailServer()
  const post = createSmtpPost({ url: server.url, from: 'Example Drainage <letters@maple.example>' })
  const mailer = createMailer({ db, post, now: () => NOW, onUndelivered: async () => {}, onPost: () => {} })
  onTestFinished(() => mailer.stop())
  await writeDueLetters({ db, now: () => NOW, publicUrl: 'https://under.example', signer: await createSigner(db) })
  await mailer.run()
  return server.mails[0]!.mail
}

test('the mail holds the picture inline, drawn, with what it shows in words', async () => {
  const { db, houseId } = await house()
  const mail = await mailed(db, houseId)
  const [picture, ...more] = mail.attachments
  expect(more).toEqual([])
  expect(picture).toMatchObject({ mimeType: 'image/png', disposition: 'inline' })
  expect(mail.html).toContain(`src="cid:${picture!.contentId!.slice(1, -1)}"`)
  const alt = 'lies between 50.3 and 77.3, and is 77.3 at the end. The line at 65 is “above this for a day: too damp”.'
  expect(mail.html).toContain(alt)
  expect(mail.text).toContain(alt)

  const png = Buffer.from(picture!.content as ArrayBuffer)
  expect(png.subarray(0, 8).toString('hex')).toBe('89504e470d0a1a0a')
  const { width, height, counts } = await colorsOf(png)
  expect([width, height]).toEqual([1020, 630])
  // Paper, and on it the line of the readings and the ink of the names.
  expect(counts.get('252 250 245')! / (width * height)).toBeGreaterThan(0.7)
  expect(counts.get('27 103 155')!).toBeGreaterThan(2000)
  expect(counts.get('22 35 59')!).toBeGreaterThan(500)
})

test('the gap is empty paper in the drawing', async () => {
  const { db, houseId } = await house()
  const data = (await pictureOf(db, houseId, 'damp', body, NOW))!
  const filled = { ...data, value: data.value.map((value) => (Number.isNaN(value) ? 60 : value)) }
  const blue = async (of: typeof data) =>
    (await colorsOf(drawPicture(of, { timeZone: 'UTC', units: 'us' })!.png)).counts.get('27 103 155')!
  expect(await blue(data)).toBeLessThan(await blue(filled))
})
