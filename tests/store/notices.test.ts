/** Notices in the store, and who is shown which. */
import { expect, test } from 'vitest'
import { escalateUnanswered } from '../../server/store/noticeNews.ts'
import { findOpenNotices, findOwnerTold, listNotices, readNoticeChanges } from '../../server/store/notices.ts'
import { readWatchState, type StoredTransition, storeLook } from '../../server/store/watchStates.ts'
import { createNoticeDesk } from '../../server/watch/noticeDesk.ts'
import { addHouse, scratchDatabase } from '../support/database.ts'

const NOW = Date.UTC(2026, 6, 1)

const opened = (watch: string, audience: string[], more: Partial<StoredTransition> = {}): StoredTransition => {
  const said = {
    audience,
    place: { spot: null, spotName: null, spaceName: null },
    alsoAt: [],
    about: null,
    circumstances: [],
    numbers: {},
  }
  const body = { ...said, urgency: 'soon' as const, sinceAt: NOW - 1, tell: audience, quiet: null }
  const kept = { ...said, told: audience, ownerToldAt: null, overAt: null }
  return { watch, cause: '', at: NOW, change: 'opened', body, kept, ...more }
}
const look = { at: NOW, version: 1, state: { a: 1 }, marks: null, refreshed: [] }

test('a look that fails halfway leaves neither state nor notice', async () => {
  const db = scratchDatabase()
  const house = addHouse(db)
  await storeLook(db, house, { ...look, transitions: [opened('damp', ['owner'])] })
  // A second open notice of one cause is refused by the table; nothing else of that look may stay.
  const twice = {
    ...look,
    at: NOW + 1,
    state: { a: 2 },
    transitions: [opened('silent', ['contractor']), opened('damp', ['owner'])],
  }
  await expect(storeLook(db, house, twice)).rejects.toThrow()
  expect((await findOpenNotices(db)).map(({ watch }) => watch)).toEqual(['damp'])
  expect(await readWatchState(db, house)).toMatchObject({ lookedAt: NOW, state: { a: 1 } })
})

test('an owner is shown, and acts on, what concerns an owner alone', async () => {
  const db = scratchDatabase()
  const house = addHouse(db)
  await storeLook(db, house, {
    ...look,
    transitions: [opened('mold', ['contractor']), opened('damp', ['owner', 'contractor'])],
  })
  const desk = createNoticeDesk(db, () => NOW)
  expect((await desk.list('house-1', 'owner'))!.map(({ watch }) => watch)).toEqual(['damp'])
  expect((await desk.list('house-1', 'contractor'))!.map(({ watch }) => watch).sort()).toEqual(['damp', 'mold'])
  expect(await desk.list('house-2', 'owner')).toBeUndefined()
  const [mold, damp] = await findOpenNotices(db)
  expect(await desk.acknowledge(mold!.id, 'owner', 'Ann')).toBe('not there')
  expect(await desk.acknowledge(damp!.id, 'owner', 'Ann')).toBe('done')
  expect(await desk.snooze(mold!.id, 'contractor', NOW + 1, 'Ben')).toBe('done')
  expect((await readNoticeChanges(db, [mold!.id, damp!.id])).slice(2).map(({ change, who }) => [change, who])).toEqual([
    ['acknowledged', 'Ann'],
    ['snoozed', 'Ben'],
  ])
  expect(await findOwnerTold(db, house, NOW - 1)).toEqual([NOW])
  expect((await listNotices(db, house, 1)).length).toBe(1)
})

const DAY = 24 * 3_600_000

test('what nobody answered goes further once, and is no second letter to its owner', async () => {
  const db = scratchDatabase()
  const house = addHouse(db)
  const audience = ['owner', 'contractor']
  await storeLook(db, house, { ...look, transitions: [opened('damp', audience)] })
  const escalated = (at: number) => escalateUnanswered(db, { openedBefore: at - DAY, at })
  expect(await escalated(NOW + DAY)).toBe(0)
  expect(await escalated(NOW + DAY + 1)).toBe(1)
  expect(await escalated(NOW + 9 * DAY)).toBe(0)
  expect(await findOwnerTold(db, house, NOW - 1)).toEqual([NOW])
})

test('an answer to what was less urgent is none to what became more urgent', async () => {
  const db = scratchDatabase()
  const house = addHouse(db)
  const before = opened('freezing', ['owner', 'contractor'])
  await storeLook(db, house, { ...look, transitions: [before] })
  const id = (await findOpenNotices(db))[0]!.id
  const desk = createNoticeDesk(db, () => NOW + 1)
  await desk.acknowledge(id, 'owner', 'Ann')
  await desk.snooze(id, 'owner', NOW + 20 * DAY, 'Ann')
  const at = NOW + 5 * DAY
  const worse = { ...before, noticeId: id, at, change: 'more urgent' as const }
  await storeLook(db, house, { ...look, at, transitions: [{ ...worse, body: { ...before.body, urgency: 'urgent' } }] })
  expect((await findOpenNotices(db))[0]).toMatchObject({
    urgency: 'urgent',
    acknowledgedAt: null,
    acknowledgedBy: null,
    snoozedUntil: null,
  })
  // A day from then on to answer it, however old the notice is.
  expect(await escalateUnanswered(db, { openedBefore: at, at: at + DAY })).toBe(0)
  expect(await escalateUnanswered(db, { openedBefore: at + 1, at: at + DAY + 1 })).toBe(1)
  expect((await readNoticeChanges(db, [id])).map(({ change, who }) => [change, who])).toEqual([
    ['opened', 'the watch'],
    ['acknowledged', 'Ann'],
    ['snoozed', 'Ann'],
    ['more urgent', 'the watch'],
    ['escalated', 'the service'],
  ])
})
