/** Letters that no notice causes, over 13 months of a clock of our own, from a real database. */

import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import ICAL from 'ical.js'
import { beforeAll, describe, expect, test } from 'vitest'
import { createSigner } from '../../../server/people/signed.ts'
import { localDateText } from '../../../server/series/localTime.ts'
import type { HouseTree } from '../../../server/store/houseTree.ts'
import { findLetter, type Letter, listLetters } from '../../../server/store/letters.ts'
import { stopLetters } from '../../../server/store/lettersStopped.ts'
import { type Database, openDatabase } from '../../../server/store/open.ts'
import { refreshHourly } from '../../../server/store/refreshHourly.ts'
import { firm, people, personHouses } from '../../../server/store/schema.ts'
import { createRegularClerk } from '../../../server/watch/post/regularClerk.ts'
import { openNotice } from '../../support/ownedHouse.ts'
import { storeTestHouse } from '../../support/studiedHouse.ts'

const HOUR = 3_600_000
const DAY = 24 * HOUR
const ZONE = 'America/New_York'
/** Ten in the morning of a Monday. */
const PLACED = Date.UTC(2025, 10, 3, 15)
const END = Date.UTC(2026, 11, 4)
const RAINS: Record<string, number> = { '2026-01-20': 30, '2026-02-11': 45, '2026-04-02': 40, '2026-07-08': 60 }

const HOUSE: HouseTree = {
  format: 'underjoist house 1',
  key: 'maple',
  name: 'Maple Hollow',
  invented: true,
  timeZone: ZONE,
  latitude: 36.5,
  spaces: [
    {
      key: 'crawl',
      name: 'Crawl space',
      role: 'crawl space',
      kind: 'closed',
      spots: [{ key: 'low', name: 'Low corner' }],
    },
    { key: 'out', name: 'Outdoors', role: 'outdoor', spots: [{ key: 'north', name: 'North wall' }] },
  ],
  loggers: [
    { key: 'l1', probes: [{ key: 'air', placements: [{ spot: 'crawl/low', from: '2025-11-03T10:00' }] }] },
    { key: 'lo', probes: [{ key: 'air', placements: [{ spot: 'out/north', from: '2025-11-03T10:00' }] }] },
  ],
  works: [
    { key: 'drains', kind: 'downspout drain', from: '2026-03-10' },
    { key: 'machine', kind: 'dehumidifier', from: '2026-04-15' },
  ],
}

async function prepare(db: Database) {
  const at = Float64Array.from({ length: Math.floor((END - PLACED) / HOUR) }, (_, i) => PLACED + i * HOUR)
  const wobble = (i: number) => ((i * 7) % 11) / 10
  const rain = (instant: number) => {
    const mm = RAINS[localDateText(instant, ZONE)]
    const hour = new Date(instant).getUTCHours()
    return mm !== undefined && hour >= 14 && hour < 18 ? mm / 4 : 0
  }
  const { houseId } = await storeTestHouse(db, HOUSE, {
    'l1/air': { at, tempC: at.map((_, i) => 14 + wobble(i)), rhPct: at.map((_, i) => 52 + wobble(i)) },
    'lo/air': {
      at,
      tempC: at.map((_, i) => 9 + wobble(i)),
      rhPct: at.map((_, i) => 70 + wobble(i)),
      rainMm: at.map(rain),
    },
  })
  db.raw.prepare('update loggers set has_radio = 1').run()
  await refreshHourly(db)
  db.orm.insert(firm).values({ name: 'Example Drainage', phone: '(555) 010-4477' }).run()
  const add = (name: string) => {
    const row = { email: `${name}@x.example`, name, role: 'owner' as const, createdAt: 0 }
    const personId = db.orm.insert(people).values(row).returning({ id: people.id }).get().id
    db.orm.insert(personHouses).values({ personId, houseId, since: 0 }).run()
    return personId
  }
  const [ann, ben] = [add('ann'), add('ben')]
  await stopLetters(db, { personId: ben, houseId, letterClass: 'news' }, 0)
  db.orm.insert(people).values({ email: 'c@x.example', name: 'Con', role: 'contractor', createdAt: 0 }).run()
  return { houseId, ann, ben }
}

/** Each day at 9 or 10 in the morning, and once more at noon; every 50 days the service begins anew. */
async function live(path: string): Promise<{ letters: Letter[]; ann: number; ben: number }> {
  let db = openDatabase(path)
  const { ann, ben } = await prepare(db)
  const clock = { at: PLACED }
  const begin = async () =>
    createRegularClerk({
      db,
      now: () => clock.at,
      publicUrl: 'https://under.example',
      signer: await createSigner(db),
      levelOf: async () => 'dry',
      onTrouble: (_, error) => {
        throw error
      },
    })
  let round = await begin()
  for (let day = 0; PLACED + day * DAY < END; day++) {
    clock.at = PLACED + day * DAY - HOUR
    if (day === 225) {
      const opened = clock.at - HOUR
      openNotice(db, { house: 'maple', watch: 'damp', urgency: 'soon', sinceAt: opened - DAY, openedAt: opened })
    }
    // The service stands still for a week, over a Monday.
    if (day >= 24 && day < 31) continue
    await round()
    if (day % 50 === 49) {
      db.close()
      db = openDatabase(path)
      round = await begin()
    }
    clock.at += 3 * HOUR
    await round()
  }
  const rows = (await listLetters(db, { most: 500 })).reverse()
  const letters: Letter[] = []
  for (const { id } of rows) letters.push((await findLetter(db, id))!)
  db.close()
  return { letters, ann, ben }
}

describe('13 months', () => {
  let all: Awaited<ReturnType<typeof live>>
  const of = (personId: number) => all.letters.filter((letter) => letter.personId === personId)
  const dates = (kind: string, personId = all.ann) =>
    of(personId)
      .filter((letter) => letter.kind === kind)
      .map(({ createdAt }) => localDateText(createdAt, ZONE))
  beforeAll(async () => {
    const folder = mkdtempSync(join(tmpdir(), 'underjoist-regular-'))
    all = await live(join(folder, 'underjoist.db'))
    rmSync(folder, { recursive: true })
  }, 300_000)

  test('month by month: how many letters of each kind', () => {
    const byMonth: Record<string, string> = {}
    for (const { kind, createdAt } of of(all.ann)) {
      const month = localDateText(createdAt, ZONE).slice(0, 7)
      byMonth[month] = `${byMonth[month] === undefined ? '' : `${byMonth[month]} `}${kind}`
    }
    expect(byMonth).toMatchInlineSnapshot(`
      {
        "2025-11": "placed weekly weekly weekly",
        "2025-12": "weekly weekly weekly weekly weekly",
        "2026-01": "weekly weekly weekly season weekly",
        "2026-02": "weekly",
        "2026-03": "monthly weekly weekly weekly",
        "2026-04": "upkeep weekly weekly weekly weekly",
        "2026-05": "weekly weekly weekly weekly",
        "2026-06": "weekly weekly weekly weekly weekly",
        "2026-07": "weekly upkeep weekly",
        "2026-08": "monthly",
        "2026-09": "monthly",
        "2026-10": "monthly upkeep upkeep",
        "2026-11": "monthly",
        "2026-12": "monthly",
      }
    `)
  })

  test('nothing twice, nobody but owners, only what they want', () => {
    // Upkeep says the same each time; the days of it are told below.
    const told = all.letters
      .filter(({ kind }) => kind !== 'upkeep')
      .map(({ personId, kind, subject }) => `${personId} ${kind} ${subject}`)
    expect(new Set(told).size).toBe(told.length)
    expect(new Set(all.letters.map(({ personId }) => personId))).toEqual(new Set([all.ann, all.ben]))
    expect(new Set(of(all.ben).map(({ kind }) => kind))).toEqual(new Set(['upkeep']))
    expect(dates('upkeep', all.ben)).toEqual(dates('upkeep'))
  })

  test('loggers are placed: once, that day', () => {
    expect(dates('placed')).toEqual(['2025-11-03'])
    expect(of(all.ann)[0]!.text).toContain('One logger measures the air under your house')
  })

  test('weekly for 13 weeks and after each work, on Mondays; monthly on the first of the others', () => {
    const weekly = dates('weekly')
    expect(weekly.every((date) => new Date(date).getUTCDay() === 1 || date === '2025-12-04')).toBe(true)
    expect(weekly.slice(0, 5)).toEqual(['2025-11-10', '2025-11-17', '2025-11-24', '2025-12-04', '2025-12-08'])
    expect(dates('monthly')).toEqual([
      '2026-03-01',
      '2026-08-01',
      '2026-09-01',
      '2026-10-01',
      '2026-11-01',
      '2026-12-01',
    ])
  })

  test('the season is noted once a year', () => {
    const noting = (words: string) =>
      of(all.ann)
        .filter(({ text }) => text.includes(words))
        .map(({ createdAt }) => localDateText(createdAt, ZONE))
    expect(noting('Frost is near')).toEqual(['2025-11-10', '2026-10-01'])
    expect(noting('The humid months begin')).toEqual(['2026-05-04'])
    expect(dates('season')).toEqual(['2026-01-21'])
  })

  test('upkeep: basins after the first big rain and before the leaves, the machine every three months', () => {
    const upkeep = of(all.ann).filter(({ kind }) => kind === 'upkeep')
    expect(upkeep.map(({ createdAt, subject }) => [localDateText(createdAt, ZONE), subject])).toEqual([
      ['2026-04-03', 'Upkeep: clean the catch basins'],
      ['2026-07-08', 'Upkeep: clean the dehumidifier’s filter, look at the dehumidifier’s drain line'],
      ['2026-10-03', 'Upkeep: clean the catch basins'],
      ['2026-10-08', 'Upkeep: clean the dehumidifier’s filter, look at the dehumidifier’s drain line'],
    ])
    const events = upkeep.map(({ calendar }) =>
      new ICAL.Component(ICAL.parse(calendar!) as never).getAllSubcomponents('vevent').map((c) => new ICAL.Event(c)),
    )
    expect(events.map((all) => all.map(({ startDate }) => startDate.toString()))).toEqual([
      ['2026-04-03'],
      ['2026-07-15', '2026-07-15'],
      ['2026-10-10'],
      ['2026-10-15', '2026-10-15'],
    ])
    // What repeats stays one event; the rain's comes once.
    expect(events[1]!.map(({ uid }) => uid)).toEqual(events[3]!.map(({ uid }) => uid))
    expect(events[3]![0]!.sequence).toBeGreaterThan(events[1]![0]!.sequence)
    expect(events.map(([first]) => first!.isRecurring())).toEqual([false, true, true, true])
  })

  test('a summary has its numbers, its picture, and what got no letter of its own', () => {
    const first = of(all.ann).find(({ kind }) => kind === 'weekly')!
    expect(first.subject).toBe('Dry under the house: week from November 3 to November 9')
    expect(first.text).toContain('Dampest day: 53')
    expect(first.picture).not.toBeNull()
    const held = of(all.ann).filter(({ text }) =>
      text.includes('Without a letter of its own: damp under the house since'),
    )
    expect(held[0]!.text).toContain('Began: damp under the house since')
    expect(localDateText(held[0]!.createdAt, ZONE)).toBe('2026-06-22')
    const wet = of(all.ann).find(({ kind, createdAt }) => kind === 'monthly' && createdAt > Date.UTC(2026, 6, 30))!
    expect(wet.text).toContain('2.4\u00a0in')
  })
})
