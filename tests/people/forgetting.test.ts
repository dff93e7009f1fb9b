/** Everything that is kept about a person, and taking it out again. */
import { expect, test } from 'vitest'
import { undoEntry } from '../../server/store/history.ts'
import { readHouse } from '../../server/store/readHouse.ts'
import { storeHouse } from '../../server/store/storeHouse.ts'
import { BOSS, HOME, MAPLE, PASSWORD, peopleDesk } from '../support/peopleDesk.ts'
import { TEST_HOUSE } from '../support/studiedHouse.ts'

const NAME = 'Tess "Drip" Niciän'

/** Somebody who left a trace in every table that can hold one. */
async function traced() {
  const made = peopleDesk()
  const { db, desk, clock, begin } = made
  const boss = await begin()
  const email = 'tess@example.com'
  const { person, invitation } = await desk.addPerson(
    { name: NAME, email, role: 'owner', houses: [MAPLE] },
    boss.caller,
  )
  const { caller } = await desk.setPassword({ code: invitation.split('#')[1]!, password: PASSWORD }, HOME)
  await desk.addToken(caller, { name: 'a script of hers', scope: 'read', days: 9 })
  const { address } = await desk.addLink(MAPLE, { personId: person.id, days: 9 }, boss.caller)
  await desk.enter(address.split('#')[1]!, HOME)
  const run = (sql: string, ...values: unknown[]) => db.raw.prepare(sql).run(...values)
  const letter = `insert into letters (once_key, house_id, person_id, kind, to_address, to_name, message_id, subject, text,
    html, secret, state, created_at, not_before_at) values (?, 1, ?, 'soon', ?, ?, ?, 'Damp', 'The words', '', ?, 'sent', 0, 0)`
  run(letter, 'a', person.id, email, NAME, 'a', 0)
  run(letter, 'b', null, 'TESS@example.com', NAME, 'b', 1)
  run(letter, 'c', boss.caller.personId, BOSS.email, BOSS.name, 'c', 0)
  run(`insert into letters_stopped values (?, 1, 'soon', ?)`, person.id, clock.at)
  run(
    `insert into notices (id, house_id, watch, cause, urgency, since_at, opened_at, updated_at, acknowledged_at,
     acknowledged_by, body) values (1, 1, 'damp', 'low', 'soon', 0, 0, 0, ?, ?, '{}')`,
    clock.at,
    NAME,
  )
  run(`insert into notice_changes (notice_id, at, change, who) values (1, ?, 'acknowledged', ?)`, clock.at, NAME)
  run(
    `insert into sensor_checks (kind, probes, started_at, state, who) values ('salt', '[]', ?, 'done', ?)`,
    clock.at,
    NAME,
  )
  const { now, ...who } = { now: clock.at, who: NAME }
  const tree = { ...TEST_HOUSE, key: 'own' }
  await storeHouse(db, tree, { replace: true, now, ...who })
  const surveys = [{ at: '2025-05-01', by: NAME, note: 'dry', readings: [] }]
  await storeHouse(db, { ...tree, surveys }, { replace: true, now, ...who, what: 'added a survey' })
  return { ...made, boss, person, tree }
}

/** Every text of every table in one. */
function everything(db: Awaited<ReturnType<typeof traced>>['db']): string {
  const tables = db.raw.prepare(`select name from sqlite_master where type = 'table'`).pluck().all() as string[]
  return tables.map((table) => JSON.stringify(db.raw.prepare(`select * from "${table}"`).all())).join('\n')
}

test('an export has a part for each table that knows the person, and no hash or secret', async () => {
  const { desk, db, person } = await traced()
  const told = await desk.exportPerson(person.id)
  const parts = Object.entries(told).map(([name, part]) => [name, Array.isArray(part) ? part.length : 'one'])
  expect(Object.fromEntries(parts)).toEqual({
    account: 'one',
    houses: 1,
    sessions: 2,
    codes: 1,
    tokens: 1,
    links: 1,
    lettersStopped: 1,
    letters: 2,
    changesOfHouses: 4,
    noticesAcknowledged: 1,
    changesOfNotices: 1,
    sensorChecks: 1,
    surveys: 1,
  })
  expect(told.account).toMatchObject({ name: NAME, email: 'tess@example.com', role: 'owner', units: 'us' })
  expect(told.letters).toMatchObject([{ text: 'The words' }, { text: null }])
  const text = JSON.stringify(told)
  expect(text).not.toContain('argon2')
  for (const table of ['sessions', 'api_tokens', 'person_codes']) {
    for (const hash of db.raw.prepare(`select secret_hash from ${table}`).pluck().all())
      expect(text).not.toContain(hash)
  }
  // Every table that points to people has its part.
  const pointing = db.raw
    .prepare(
      `select m.name from sqlite_master m, pragma_foreign_key_list(m.name) f where m.type = 'table' and f."table" = 'people'
       order by 1`,
    )
    .pluck()
    .all()
  expect(pointing).toEqual([
    'api_tokens',
    'letters',
    'letters_stopped',
    'owner_links',
    'person_codes',
    'person_houses',
    'sessions',
  ])
})

test('after a deletion no table knows name or address, and what was done is still there', async () => {
  const { desk, db, person, boss, history } = await traced()
  const before = history('own').length
  expect(everything(db)).toContain('tess@example.com')
  await desk.deletePerson(person.id, boss.caller)
  const left = everything(db)
  expect(left.toLowerCase()).not.toContain('tess')
  expect(left).not.toContain('Niciän')
  expect(history('own').map(({ who }) => who)).toEqual(Array(before).fill('a former person'))
  expect(history(MAPLE).map(({ who, what }) => [who, what])).toEqual([
    [BOSS.name, 'gave the house to the owner a former person'],
    [BOSS.name, 'made a link for the owner a former person'],
    [BOSS.name, 'took the house from the owner a former person'],
  ])
  expect(db.raw.prepare('select acknowledged_by from notices').pluck().get()).toBe('a former person')
  expect(db.raw.prepare('select once_key from letters order by 1').pluck().all()).toEqual(['c'])
  expect((await readHouse(db, 'own'))!.surveys).toMatchObject([{ by: 'a former person', note: 'dry' }])
  expect((await desk.people()).map(({ name }) => name)).toEqual([BOSS.name])
})

test('what a deleted person entered can still be put back', async () => {
  const { desk, db, person, boss, clock, tree } = await traced()
  await desk.deletePerson(person.id, boss.caller)
  const entry = db.raw.prepare(`select max(id) from history where what = 'added a survey'`).pluck().get() as number
  expect(await undoEntry(db, 'own', entry, { now: clock.at, who: BOSS.name })).toEqual({ done: true })
  expect((await readHouse(db, tree.key))!.surveys ?? []).toEqual([])
})

test('names that only begin or end alike stay as they are', async () => {
  const { desk, db, clock, begin, join, history } = peopleDesk()
  const { caller } = await begin()
  const ann = await join(caller, 'Ann Ray', 'technician', [MAPLE])
  await join(caller, 'Jo Ann Ray', 'technician', [MAPLE])
  db.raw
    .prepare(
      `insert into history (house_id, at, who, what, subject) values (1, ?, 'Ann Rayburn', 'undid Ann Ray', 'a note')`,
    )
    .run(clock.at)
  await desk.deletePerson(ann.caller.personId, caller)
  expect(history(MAPLE).map(({ who, what }) => [who, what])).toEqual([
    [BOSS.name, 'gave the house to the technician a former person'],
    [BOSS.name, 'gave the house to the technician Jo Ann Ray'],
    ['Ann Rayburn', 'undid Ann Ray'],
    [BOSS.name, 'took the house from the technician a former person'],
  ])
})

test('whoever deletes their own account is a former person too', async () => {
  const { desk, begin, join, history } = peopleDesk()
  const { caller } = await begin()
  await join(caller, 'Ann Other', 'contractor')
  await join(caller, 'Tess Nician', 'technician', [MAPLE])
  await desk.deletePerson(caller.personId, caller)
  expect(history(MAPLE).map(({ who }) => who)).toEqual(['a former person'])
})
