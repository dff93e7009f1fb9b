/** Notices over HTTP: who sees which, who may act on them, and that looking at them changes nothing. */
import { expect, test } from 'vitest'
import type { NoticeAnswer, NoticesAnswer } from '../../server/http/contract/notices.ts'
import { type Opening, openNotice } from '../support/ownedHouse.ts'
import { OTHER_HOUSE, OWN_HOUSE, PEOPLE, type SignedInService, signedInService, type Who } from '../support/signedIn.ts'

const HOUR = 3_600_000
const NOW = Date.UTC(2026, 5, 1)
const CONTRACTOR_ALONE = { audience: ['contractor' as const], told: ['contractor' as const] }

const WATER: Opening = { house: OWN_HOUSE, watch: 'liquid water', urgency: 'urgent', sinceAt: NOW - 3 * HOUR }
const MOLD: Opening = {
  house: OWN_HOUSE,
  watch: 'mold',
  urgency: 'soon',
  sinceAt: NOW - 2 * HOUR,
  body: { ...CONTRACTOR_ALONE, numbers: { moldIndex: 3.4 } },
}

async function begin() {
  const service = await signedInService({ now: () => NOW })
  const { db } = service.parts
  return { ...service, db, water: openNotice(db, WATER), mold: openNotice(db, MOLD) }
}

async function seen({ as }: Pick<SignedInService, 'as'>, who: Who, house = OWN_HOUSE): Promise<NoticeAnswer[]> {
  const answer = await as(who)(`/api/houses/${house}/notices`)
  expect(answer.statusCode, answer.body).toBe(200)
  return (answer.json() as NoticesAnswer).notices
}

const act = ({ as }: Pick<SignedInService, 'as'>, who: Who | 'nobody', id: number | string, hours?: number) =>
  as(who)({
    method: 'POST',
    url: `/api/notices/${id}/${hours === undefined ? 'acknowledge' : 'snooze'}`,
    ...(hours !== undefined && { payload: { hours } }),
  })

test('contractor and technician see every notice of the house, its owner those that concern an owner', async () => {
  const service = await begin()
  for (const who of ['contractor', 'technician'] as const) {
    expect((await seen(service, who)).map(({ watch }) => watch).sort(), who).toEqual(['liquid water', 'mold'])
  }
  for (const ask of [service.as('owner'), await service.byLink('owner')]) {
    const answer = await ask(`/api/houses/${OWN_HOUSE}/notices`)
    expect((answer.json() as NoticesAnswer).notices.map(({ watch }) => watch)).toEqual(['liquid water'])
    expect(answer.body).not.toMatch(/mold/i)
  }
  const [water] = await seen(service, 'owner')
  expect(water).toMatchObject({
    id: service.water,
    urgency: 'urgent',
    sinceAt: WATER.sinceAt,
    acknowledgedAt: null,
    overAt: null,
    concerns: ['owner', 'contractor'],
    changes: [{ change: 'opened', who: 'the watch', urgency: 'urgent', quiet: null }],
  })
})

test('an owner who was told of it still sees it when it concerns the contractor alone by now', async () => {
  const service = await begin()
  const body = { audience: ['contractor' as const], told: ['owner' as const, 'contractor' as const] }
  openNotice(service.db, { ...WATER, watch: 'damp', urgency: 'soon', body })
  expect((await seen(service, 'owner')).map(({ watch }) => watch).sort()).toEqual(['damp', 'liquid water'])
})

test('people of another house see and change nothing, and nobody comes in without signing in', async () => {
  const service = await begin()
  for (const who of ['technician elsewhere', 'owner of the other house'] as const) {
    const list = await service.as(who)(`/api/houses/${OWN_HOUSE}/notices`)
    expect([list.statusCode, list.json().code]).toEqual([404, 'UNKNOWN_HOUSE'])
    for (const hours of [undefined, 24]) {
      const answer = await act(service, who, service.water, hours)
      expect([answer.statusCode, answer.json().code], who).toEqual([404, 'UNKNOWN_NOTICE'])
    }
    expect(await seen(service, who, OTHER_HOUSE)).toEqual([])
  }
  expect((await act(service, 'nobody', service.water)).statusCode).toBe(401)
  expect((await seen(service, 'contractor')).every(({ changes }) => changes.length === 1)).toBe(true)
})

test('whoever acknowledges it first stands in its history by name; again is no second time', async () => {
  for (const who of ['contractor', 'technician', 'owner'] as const) {
    const service = await begin()
    expect((await act(service, who, service.water)).statusCode, who).toBe(204)
    const after = who === 'owner' ? 'technician' : 'owner'
    expect((await act(service, after, service.water)).statusCode).toBe(204)
    const water = (await seen(service, 'owner'))[0]!
    expect(water).toMatchObject({ acknowledgedAt: NOW, acknowledgedBy: PEOPLE[who].name })
    expect(water.changes.map((change) => [change.change, change.who])).toEqual([
      ['opened', 'the watch'],
      ['acknowledged', PEOPLE[who].name],
    ])
  }
})

test('each may snooze it for a while, and stands in its history by name', async () => {
  const service = await begin()
  for (const [who, hours] of [
    ['contractor', 24],
    ['technician', 1],
    ['owner', 48],
  ] as const) {
    expect((await act(service, who, service.water, hours)).statusCode, who).toBe(204)
    expect((await seen(service, who)).find(({ id }) => id === service.water)!.snoozedUntil).toBe(NOW + hours * HOUR)
  }
  const { changes } = (await seen(service, 'owner'))[0]!
  expect(changes.slice(1).map(({ at, change, who }) => [at, change, who])).toEqual(
    (['contractor', 'technician', 'owner'] as const).map((who) => [NOW, 'snoozed', PEOPLE[who].name]),
  )
})

test('an owner cannot act on what concerns the contractor alone, nor learn that it is there', async () => {
  const service = await begin()
  const absent = 9999
  for (const hours of [undefined, 24]) {
    const answer = await act(service, 'owner', service.mold, hours)
    const none = await act(service, 'owner', absent, hours)
    expect([answer.statusCode, answer.json().code]).toEqual([404, 'UNKNOWN_NOTICE'])
    expect(answer.body.replaceAll(String(service.mold), 'X')).toBe(none.body.replaceAll(String(absent), 'X'))
  }
  expect((await act(service, 'technician', service.mold)).statusCode).toBe(204)
  const mold = (await seen(service, 'contractor')).find(({ id }) => id === service.mold)!
  expect(mold.acknowledgedBy).toBe(PEOPLE.technician.name)
  expect(mold.changes).toHaveLength(2)
})

test('a notice that is over, one that is not there and what is no number are refused; so are spans out of range', async () => {
  const service = await begin()
  service.db.raw.prepare('update notices set cleared_at = ? where id = ?').run(NOW - HOUR, service.water)
  for (const hours of [undefined, 24]) {
    for (const id of [service.water, 9999]) {
      const answer = await act(service, 'contractor', id, hours)
      expect([answer.statusCode, answer.json().code], String(id)).toEqual([404, 'UNKNOWN_NOTICE'])
    }
    for (const id of ['0', '-1', '1.5', 'water']) {
      expect((await act(service, 'contractor', id, hours)).statusCode, id).toBeGreaterThanOrEqual(400)
    }
  }
  for (const hours of [0, 0.5, 24 * 28 + 1, Number.NaN]) {
    expect((await act(service, 'contractor', service.mold, hours)).statusCode, String(hours)).toBe(400)
  }
  const unknown = await service.as('contractor')('/api/houses/no-house/notices')
  expect([unknown.statusCode, unknown.json().code]).toEqual([404, 'UNKNOWN_HOUSE'])
  const all = await seen(service, 'contractor')
  expect(all.map(({ watch, clearedAt }) => [watch, clearedAt])).toEqual([
    ['mold', null],
    ['liquid water', NOW - HOUR],
  ])
  expect(all.every(({ changes }) => changes.length === 1)).toBe(true)
})

test('what concerns the contractor alone does not crowd out what an owner is to see', async () => {
  const service = await begin()
  const over = service.db.raw.prepare('update notices set cleared_at = ? where id = ?')
  over.run(NOW - 9 * HOUR, service.water)
  for (let i = 0; i < 220; i++) {
    const place = { spot: `crawl/${i}`, spotName: null, spaceName: null }
    over.run(NOW - HOUR, openNotice(service.db, { ...MOLD, body: { ...MOLD.body, place } }))
  }
  expect((await seen(service, 'owner')).map(({ watch }) => watch)).toEqual(['liquid water'])
})

test('looking changes nothing, and nothing can be done by a link that is only looked at', async () => {
  const service = await begin()
  const kept = () =>
    ['notices', 'notice_changes', 'letters'].map((table) =>
      service.db.raw.prepare(`select * from ${table} order by id`).all(),
    )
  const before = kept()
  for (const who of ['contractor', 'technician', 'owner'] as const) {
    await seen(service, who)
    for (const action of ['acknowledge', 'snooze', 'snooze?hours=24']) {
      expect((await service.as(who)(`/api/notices/${service.water}/${action}`)).statusCode).toBe(404)
    }
  }
  expect(kept()).toEqual(before)
})

test('a token that may only read, or only bring readings, acts on nothing', async () => {
  const service = await begin()
  for (const scope of ['read', 'readings'] as const) {
    const ask = await service.withToken('contractor', scope)
    const answer = await ask({ method: 'POST', url: `/api/notices/${service.water}/acknowledge` })
    expect(answer.statusCode, scope).toBe(403)
  }
  expect((await seen(service, 'owner'))[0]!.acknowledgedAt).toBeNull()
})
