/** The page of an owner over HTTP: who sees what, whose choice counts, and whom the firm tells them to call. */
import { expect, test } from 'vitest'
import { ownerLevels } from '../../server/cli/ownerPages.ts'
import type { OwnerPageAnswer } from '../../server/http/contract/ownerPage.ts'
import { storeReadings } from '../../server/store/readings.ts'
import { openNotice } from '../support/ownedHouse.ts'
import { DAY, HOUR, madeReadings, swing } from '../support/series.ts'
import { type Ask, OWN_HOUSE, signedInService } from '../support/signedIn.ts'
import { stepsOf } from '../support/studiedHouse.ts'

const NOW = Date.UTC(2026, 5, 1, 12)
const PAGE = `/api/houses/${OWN_HOUSE}/owner-page`

async function service() {
  const made = await signedInService({ now: () => NOW, ownHouse: { invented: false } })
  const { db } = made.parts
  const probes = db.raw
    .prepare(
      `select p.id from probes p join loggers l on l.id = p.logger_id join houses h on h.id = l.house_id where h.key = ?`,
    )
    .pluck()
    .all(OWN_HOUSE) as number[]
  const from = NOW - 40 * DAY
  const air = madeReadings({ from, to: NOW, everyMs: HOUR, tempC: swing(18, 1), rhPct: swing(45, 2) })
  for (const probe of probes) await storeReadings(db, stepsOf(probe, air))
  return made
}

async function pageFor(ask: Ask): Promise<OwnerPageAnswer> {
  for (;;) {
    const answer = await ask(PAGE)
    if (answer.statusCode === 200) return answer.json() as OwnerPageAnswer
    expect(answer.statusCode).toBe(202)
    await new Promise((resolve) => setTimeout(resolve, 50))
  }
}

test('an owner reads state, matters, whom to call and their choices; the firm sees the same and may not choose', async () => {
  const { as, byLink, parts } = await service()
  const quiet = await pageFor(as('owner'))
  expect(quiet.state.sentence).toBe('Dry')
  const onTrouble = (_: string, error: unknown) => {
    throw error
  }
  const levels = ownerLevels(parts.db, { now: () => NOW, onStale: () => {}, onTrouble })
  expect(await levels(OWN_HOUSE)).toBe('dry') // as the summaries say it
  expect(await levels('no-such-house')).toBeNull()
  expect(quiet.notices).toEqual([])
  expect(quiet.weeks.length).toBeGreaterThan(5)
  expect(quiet.weeks.every(({ level, wood }) => level === 'dry' && wood !== null && wood.low < wood.high)).toBe(true)

  const at = { house: OWN_HOUSE, sinceAt: NOW - HOUR }
  openNotice(parts.db, { ...at, watch: 'damp', urgency: 'soon' })
  openNotice(parts.db, { ...at, watch: 'liquid water', urgency: 'urgent' })
  openNotice(parts.db, { ...at, watch: 'mold', urgency: 'soon' })
  openNotice(parts.db, { ...at, watch: 'wood wet', urgency: 'soon', body: { audience: ['contractor'], told: [] } })
  openNotice(parts.db, { ...at, watch: 'condensation', urgency: 'note' })
  const page = await pageFor(await byLink('owner'))
  expect(page.state.sentence).toBe('Wet: do this now')
  expect(page.notices.map(({ urgency, headline }) => [urgency, headline])).toEqual([
    ['urgent', 'There is water on the ground under the house.'],
    ['soon', 'The air under the house is too damp.'],
  ])
  const [first] = page.notices
  expect(first!.steps.length).toBeLessThanOrEqual(3)
  expect(first!.cautions.join()).toContain('electric')
  expect(first!.weDo).toContain('You hear from us by')
  expect(JSON.stringify(page)).not.toMatch(/mold/i)

  const theirs = await pageFor(as('contractor'))
  expect(theirs.notices).toEqual(page.notices)
  expect(theirs.choices.map(({ person, mine }) => [person, mine])).toEqual([['Olive Owner', false]])
  const payload = { letterClass: 'news', wanted: false }
  const url = `/api/houses/${OWN_HOUSE}/letter-choice`
  expect((await as('contractor')({ method: 'PUT', url, payload })).statusCode).toBe(403)
})

test('an owner who stops alarms stops nothing else, and the firm is told once', async () => {
  const { as, parts } = await service()
  const url = `/api/houses/${OWN_HOUSE}/letter-choice`
  const choose = async (letterClass: string, wanted: boolean) =>
    (
      await as('owner')({ method: 'PUT', url, payload: { letterClass, wanted } })
    ).json() as OwnerPageAnswer['choices'][0]
  const unwanted = ({ classes }: OwnerPageAnswer['choices'][0]) =>
    classes.filter(({ wanted }) => !wanted).map(({ letterClass }) => letterClass)
  expect(unwanted(await choose('news', false))).toEqual(['news'])
  const toFirm = () =>
    parts.db.raw.prepare(`select count(*) from letters where kind = 'alarms stopped'`).pluck().get() as number
  expect(toFirm()).toBe(0)
  expect(unwanted(await choose('alarms', false))).toEqual(['alarms', 'news'])
  expect(unwanted(await choose('alarms', false))).toEqual(['alarms', 'news'])
  expect(toFirm()).toBe(1)
  expect(unwanted(await choose('alarms', true))).toEqual(['news'])
  const wrong = await as('owner')({ method: 'PUT', url, payload: { letterClass: 'everything', wanted: false } })
  expect(wrong.statusCode).toBe(400)
})

test('the firm enters whom to call; its thresholds stay as they were', async () => {
  const { as, parts } = await service()
  parts.db.raw.prepare(`update firm set settings = '{"silentHours":48}'`).run()
  const firm = { name: 'Dry Joists (invented)', phone: '+1 555 0142', email: 'office@example.com' }
  const put = (payload: object) => as('contractor')({ method: 'PUT', url: '/api/firm', payload })
  const answerHours = { urgent: 24, soon: 72 }
  expect((await put(firm)).json()).toEqual({ ...firm, answerHours })
  expect((await as('contractor')('/api/firm')).json()).toEqual({ ...firm, answerHours })
  expect((await pageFor(as('owner'))).call).toEqual(firm)
  expect(parts.db.raw.prepare('select settings from firm').pluck().get()).toBe('{"silentHours":48}')
  expect((await put({ ...firm, phone: 'call me' })).statusCode).toBe(400)
  expect((await put({ ...firm, phone: 'javascript:1' })).statusCode).toBe(400)
  const none = { name: '', phone: null, email: null }
  expect((await put(none)).json()).toEqual({ ...none, answerHours })
  const slower = { urgent: 36, soon: 120 }
  expect((await put({ ...firm, answerHours: slower })).json()).toEqual({ ...firm, answerHours: slower })
  expect((await put(firm)).json()).toEqual({ ...firm, answerHours: slower })
  expect((await put({ ...firm, answerHours: { urgent: 48, soon: 24 } })).statusCode).toBe(409)
  expect((await put({ ...firm, answerHours: { urgent: 0, soon: 24 } })).statusCode).toBe(400)
  expect(JSON.parse(parts.db.raw.prepare('select settings from firm').pluck().get() as string)).toEqual({
    silentHours: 48,
    answerUrgentHours: 36,
    answerSoonHours: 120,
  })
  expect((await as('owner')('/api/firm')).statusCode).toBe(403)
})

test('letters that went to one owner are not shown to another of the same house', async () => {
  const { as, id, parts } = await service()
  const letter = parts.db.raw.prepare(
    `insert into letters (once_key, house_id, person_id, kind, to_address, to_name, message_id, subject, text, html, state,
       created_at, not_before_at, sent_at, secret)
     values (:key, (select id from houses where key = :house), :person, 'soon', 'a', 'a', :key, :key, '', '', 'sent', 1, 1, 1, :secret)`,
  )
  const store = (key: string, person: number, secret = 0) => letter.run({ key, house: OWN_HOUSE, person, secret })
  store('to Olive', id('owner'))
  store('a secret of Olive', id('owner'), 1)
  store('to the firm', id('contractor'))
  store('to Otto', id('owner of the other house'))
  const subjects = ({ letters }: OwnerPageAnswer) => letters.map(({ subject }) => subject)
  expect(subjects(await pageFor(as('owner')))).toEqual(['to Olive'])
  expect(subjects(await pageFor(as('contractor')))).toEqual(['to Otto', 'to Olive'])
})
