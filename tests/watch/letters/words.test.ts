/** The words of letters: every watch, both unit systems, hostile names, the calendar, the picture. */
import ICAL from 'ical.js'
import { expect, test } from 'vitest'
import { UPKEEP, UPKEEP_TASKS } from '../../../server/watch/letters/calendar.ts'
import { noticeLetter } from '../../../server/watch/letters/noticeLetter.ts'
import { drawPicture } from '../../../server/watch/letters/picture.ts'
import { afterQuietHours } from '../../../server/watch/letters/quietHours.ts'
import { newsLetter, placedLetter, upkeepLetter } from '../../../server/watch/letters/regular.ts'
import { forTheFirm, type Told } from '../../../server/watch/letters/told.ts'
import { WATCHES } from '../../../server/watch/types.ts'

const AT = Date.UTC(2026, 6, 1, 7, 10)
const house = { id: 1, key: 'maple', name: 'Maple Hollow', timeZone: 'America/New_York', invented: true }
const owner = {
  personId: 1,
  name: 'Ann',
  email: 'a@x.example',
  role: 'owner' as const,
  units: 'us' as const,
  stopped: new Set<string>(),
}
const firm = { name: 'Example Drainage', phone: '(555) 010-4477', answerHours: { urgent: 24, soon: 72 } }
const links = { look: 'https://under.example/owner#1.2.x', stop: (c: string) => `https://under.example/stop/${c}` }
const told = (over: Partial<Told> = {}): Told => ({
  noticeId: 1,
  changeId: 1,
  change: 'opened',
  at: AT,
  watch: 'damp',
  urgency: 'soon',
  sinceAt: AT,
  overAt: null,
  tell: ['owner', 'contractor'],
  body: {
    audience: ['owner'],
    place: { spot: 'a/b', spotName: 'under the bath', spaceName: 'crawl space' },
    alsoAt: ['north corner'],
    about: 'supply duct',
    circumstances: [],
    numbers: { rhPct: 71, lineRhPct: 65, tempC: 0.4, woodMcPct: 18.2, woodRisePoints: 2.3, lineWoodMcPct: 19 },
  },
  picture: null,
  ...over,
})

test.each(
  WATCHES.flatMap((watch) =>
    (['soon', 'urgent'] as const).flatMap((urgency) =>
      (['opened', 'cleared', 'escalated'] as const).map((change) => ({ watch, urgency, change })),
    ),
  ),
)('$watch, $urgency, $change: a whole letter for whoever is told', (given) => {
  for (const reader of [owner, { ...owner, role: 'contractor' as const }]) {
    if (reader.role === 'owner' && forTheFirm(given.watch)) continue
    const { subject, text, html } = noticeLetter({ told: told(given), house, reader, firm, links })
    expect(subject.length).toBeLessThan(90)
    expect(text).toContain('under the bath; also north corner')
    expect(text.match(/^\d\. /gm)?.length ?? 0).toBeLessThanOrEqual(3)
    expect(text).toContain('do not see carbon monoxide, gas, radon')
    expect(text + html + subject).not.toMatch(/undefined|NaN|\[object| {2}\w/)
    if (reader.role === 'owner') expect(text).not.toMatch(/mold|rot|health|safe to|structur/i)
  }
})

test('an owner is not told that it freezes while it thaws by day', () => {
  const letter = (tempC: number) => {
    const numbers = { tempC, tempLowestC: -5, lineTempC: 0 }
    const change = told({ watch: 'freezing', urgency: 'urgent', body: { ...told().body, numbers } })
    return noticeLetter({ told: change, house, reader: owner, firm, links }).text
  }
  expect(letter(-2)).toContain('It is freezing under the house.')
  expect(letter(5)).toContain('It froze under the house, and may again.')
  expect(letter(5)).toMatch(/near or below freezing since .*: 41.°F, at its lowest 23.°F\./)
})

test('names that are markup stay words', () => {
  const nasty = '<img src=x onerror=alert(1)>"&\'</style>'
  const { html } = noticeLetter({
    told: told({ body: { ...told().body, place: { spot: 'a', spotName: nasty, spaceName: null } } }),
    house: { ...house, name: nasty },
    reader: owner,
    firm: { ...firm, name: nasty },
    links: { ...links, look: 'javascript:alert(1)' },
  })
  expect(html).not.toContain('<img src=x')
  expect(html).not.toContain('javascript:')
  expect(html.match(/<\/style>/g)).toHaveLength(1)
})

test('a picture is a PNG of twice its size and more, told in words; gaps stay, one value is none', () => {
  const at = Array.from({ length: 40 }, (_, i) => AT + i * 3_600_000)
  const value = at.map((_, i) => (i === 20 ? Number.NaN : 60 + i / 4))
  const data = {
    quantity: 'rhPct' as const,
    name: 'under the bath',
    at,
    value,
    threshold: { value: 65, name: 'too damp' },
  }
  const drawn = drawPicture(data, { timeZone: house.timeZone, units: 'us' })!
  expect(drawn.png.subarray(1, 4).toString()).toBe('PNG')
  expect([drawn.png.readUInt32BE(16), drawn.png.readUInt32BE(20)]).toEqual([1020, 630])
  expect(drawn.png.length).toBeLessThan(100_000)
  expect(drawn.alt).toContain('is 69.8 at the end')
  expect(drawn.alt).toContain('too damp')
  expect(drawPicture({ ...data, value: at.map(() => Number.NaN) }, { timeZone: 'UTC', units: 'si' })).toBeNull()
  expect(drawPicture({ ...data, value: at.map(() => 60) }, { timeZone: 'UTC', units: 'si' })).not.toBeNull()
})

test('upkeep is a calendar that a calendar program reads: days of the house, repeated, whatever a name holds', () => {
  const tasks = UPKEEP.map((task) => ({ task, ...UPKEEP_TASKS[task], dueAt: Date.UTC(2026, 9, 2, 3), everyMonths: 3 }))
  const nasty = { ...house, name: 'Maple; Hollow, \\ 14\r\nBEGIN:VEVENT é'.repeat(4) }
  const { calendar, text } = upkeepLetter({ house: nasty, reader: owner, firm, links, now: AT }, tasks)
  expect(text).toContain('Unplug')
  expect(calendar!.split('\r\n').every((line) => Buffer.byteLength(line) <= 75)).toBe(true)
  const events = new ICAL.Component(ICAL.parse(calendar!) as never)
    .getAllSubcomponents('vevent')
    .map((c) => new ICAL.Event(c))
  expect(events).toHaveLength(3)
  // Three in the morning UTC is still October 1 in New York.
  expect(events.map(({ startDate }) => [startDate.isDate, startDate.toString()])).toEqual(
    Array(3).fill([true, '2026-10-01']),
  )
  expect(events[0]!.summary).toBe('Clean the catch basins')
  expect(events.every((event) => event.isRecurring())).toBe(true)
  expect(new Set(events.map(({ uid }) => uid)).size).toBe(3)
  expect(events[0]!.location).toContain('Maple; Hollow, \\ 14')
})

test('the other letters say what they are', () => {
  const asked = { house, reader: owner, firm, links, now: AT }
  expect(placedLetter(asked, { loggers: 5 }).subject).toBe('Loggers are placed: please change nothing yet')
  const facts = {
    from: AT - 7 * 86_400_000,
    to: AT,
    level: 'silent' as const,
    rhHighestPct: 61.2,
    rainMm: null,
    opened: [],
    ended: ['damp air'],
    unwritten: ['damp under the house since June 30'],
    silentLoggers: 2,
    picture: null,
  }
  const news = newsLetter('weekly', asked, facts, 'before frost')
  expect(news.text).toContain('we cannot say that it is dry')
  expect(news.text).toContain('Rain: not known')
  expect(news.text).toContain('Without a letter of its own: damp under the house since June 30')
  expect(news.unsubscribeUrl).toContain('/stop/news')
})

test.each([
  ['2026-07-01T16:00Z', '2026-07-01T16:00Z'],
  ['2026-07-02T02:00Z', '2026-07-02T11:00Z'],
  ['2026-07-02T09:00Z', '2026-07-02T11:00Z'],
  // The night when clocks go forward, and the one when they go back.
  ['2026-03-08T04:00Z', '2026-03-08T11:00Z'],
  ['2026-11-01T04:00Z', '2026-11-01T12:00Z'],
])('what is due at %s in New York goes at %s', (at, goes) => {
  expect(new Date(afterQuietHours(Date.parse(at), 'America/New_York')).toISOString().replace(':00.000', '')).toBe(goes)
})

test('where spring skips midnight itself, the morning still begins at seven', () => {
  expect(afterQuietHours(Date.parse('2026-03-08T05:30Z'), 'America/Havana')).toBe(Date.parse('2026-03-08T11:00Z'))
  expect(afterQuietHours(Date.parse('2026-03-08T04:30Z'), 'America/Havana')).toBe(Date.parse('2026-03-08T11:00Z'))
})
