/** Guided checks over HTTP on a real database: side by side and over salt, from the box to the house and back. */
import { expect, test } from 'vitest'
import type { ServiceParts } from '../../server/cli/runService.ts'
import type { CheckAnswer, ChecksAnswer, PlacingAnswer } from '../../server/http/contract/checks.ts'
import { saltRhPct } from '../../server/physics/salts.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import { readHouse } from '../../server/store/readHouse.ts'
import { storeReadings } from '../../server/store/readings.ts'
import { refreshHourly } from '../../server/store/refreshHourly.ts'
import { findCheckableProbes } from '../../server/store/sensorChecks.ts'
import { readHouseRecord } from '../../server/study/houseRecord.ts'
import { DAY, HOUR, MINUTE, madeReadings, normal, seeded } from '../support/series.ts'
import { scratchService } from '../support/service.ts'
import { stepsOf, TEST_HOUSE } from '../support/studiedHouse.ts'

const START = Date.UTC(2026, 4, 10, 20, 0, 30) // 16:00:30 at the house
const BEGUN = START - 30_000

async function withHouse() {
  let now = START
  const parts = await scratchService(() => now)
  const added = await parts.app.inject({ method: 'POST', url: '/api/houses', payload: { house: TEST_HOUSE } })
  expect(added.statusCode).toBe(201)
  return { parts, at: (hours: number) => void (now = START + hours * HOUR) }
}

/** What a probe reads: the air of the house before, the box from the beginning of the check on. */
async function read(
  parts: ServiceParts,
  path: string,
  { hours, rhPct, tempC = 21 }: { hours: number; rhPct: (hoursIn: number) => number; tempC?: number },
) {
  const probe = (await findCheckableProbes(parts.db, START)).find((one) => one.path === path)!
  const noise = normal(seeded(path.length + path.charCodeAt(1)))
  const readings = madeReadings({
    from: START - 2 * DAY,
    to: START + hours * HOUR,
    everyMs: 10 * MINUTE,
    tempC: (at) => (at < START ? 14 : tempC) + 0.02 * noise(),
    rhPct: (at) => (at < START ? 85 : rhPct((at - START) / HOUR)) + 0.1 * noise(),
  })
  await storeReadings(parts.db, stepsOf(probe.id, readings))
}

const post = ({ app }: ServiceParts, url: string, payload: object) => app.inject({ method: 'POST', url, payload })
const check = async ({ app }: ServiceParts, id: number): Promise<CheckAnswer> =>
  (await app.inject(`/api/checks/${id}`)).json()
const house = async ({ db }: ServiceParts): Promise<HouseTree> => (await readHouse(db, 'test-house'))!
const probeOfTree = (tree: HouseTree, logger: string) => tree.loggers!.find(({ key }) => key === logger)!.probes[0]!
const PLAIN = { acts: [], since: 'check', hangAgain: true }

test('side by side: taken down, live, corrected, hung again; the box is no air of the house; undone by one step', async () => {
  const { parts, at } = await withHouse()
  const began = await post(parts, '/api/checks', { kind: 'side by side', probes: ['l1/air', 'l2/air', 'lo/air'] })
  expect(began.statusCode).toBe(201)
  const { id, standing } = began.json<CheckAnswer>()
  expect(standing).toMatchObject({ ready: false, hoursToGo: 8 })
  const down = await house(parts)
  for (const logger of ['l1', 'l2', 'lo']) {
    expect(probeOfTree(down, logger).placements.at(-1)!.to).toBe('2026-05-10T16:00')
  }

  const box = (offset: number) => (hours: number) => 52 + offset + 20 * Math.exp(-hours)
  await read(parts, 'l1/air', { hours: 20, rhPct: box(0) })
  await read(parts, 'l2/air', { hours: 20, rhPct: box(0.4) })
  await read(parts, 'lo/air', { hours: 20, rhPct: box(4) })
  at(5)
  const soon = await check(parts, id)
  expect(soon.standing!.ready).toBe(false)
  expect(soon.standing!.hoursToGo).toBeGreaterThan(3)
  expect(soon.standing!.probes[0]!.last!.rhPct).toBeGreaterThan(50)
  const early = await post(parts, `/api/checks/${id}/finish`, PLAIN)
  expect(early.statusCode).toBe(409)
  expect(early.json()).toMatchObject({ code: 'CHECK_NOT_READY' })

  at(20)
  const ready = (await check(parts, id)).standing!
  expect(ready.probes.map(({ verdict }) => verdict)).toEqual(['fine', 'fine', 'correct'])
  const off = ready.probes[2]!.rhPct!
  expect(off.low).toBeLessThan(off.mid)
  expect(off.mid).toBeCloseTo(3.6, 0)

  // Pressed twice at once, it is done once.
  const [done, twice] = await Promise.all([
    post(parts, `/api/checks/${id}/finish`, PLAIN),
    post(parts, `/api/checks/${id}/finish`, PLAIN),
  ])
  expect([done.statusCode, twice.statusCode]).toEqual([200, 409])
  expect(done.json<CheckAnswer>()).toMatchObject({ state: 'done', standing: null })
  expect(done.json<CheckAnswer>().ended!.probes[2]).toMatchObject({ act: 'store', hungAgain: 'out/north' })
  const after = await house(parts)
  const corrections = after.corrections!.filter(({ offset }) => offset !== 0)
  expect(corrections).toHaveLength(1)
  expect(corrections[0]).toMatchObject({ probe: 'lo/air', quantity: 'rhPct', from: '2026-05-10T16:00' })
  expect(corrections[0]!.offset).toBeCloseTo(-3.6, 0)
  expect(probeOfTree(after, 'lo').placements).toEqual([
    { spot: 'out/north', from: '2023-01-01', to: '2026-05-10T16:00' },
    { spot: 'out/north', from: '2026-05-11T12:00' },
  ])
  // A second finish finds nothing that runs.
  expect((await post(parts, `/api/checks/${id}/finish`, PLAIN)).statusCode).toBe(409)

  await refreshHourly(parts.db)
  const record = (await readHouseRecord(parts.db, 'test-house'))!
  for (const { hours } of record.spots) {
    const inBox = [...hours.at.keys()].filter((i) => hours.at[i]! >= BEGUN && hours.at[i]! < START + 20 * HOUR - HOUR)
    expect(inBox.every((i) => Number.isNaN(hours.tempC[i]!))).toBe(true)
    expect([...hours.tempC].filter((tempC) => !Number.isNaN(tempC)).length).toBeGreaterThan(40)
  }

  const { entries } = (await parts.app.inject('/api/houses/test-house/history')).json()
  expect(entries[0].what).toContain('lo/air corrected by -3')
  const undone = await post(parts, `/api/houses/test-house/history/${entries[0].id}/undo`, {})
  expect(undone.statusCode).toBe(200)
  expect((await house(parts)).corrections).toBeUndefined()
})

test('salt: one probe fine, one corrected from when it was hung, one rejected and hung nowhere', async () => {
  const { parts, at } = await withHouse()
  const probes = ['l1/air', 'l2/air', 'lo/air']
  const began = await post(parts, '/api/checks', { kind: 'salt', salt: 'NaCl', probes })
  const { id } = began.json<CheckAnswer>()
  const salt = (offset: number) => (hours: number) => saltRhPct('NaCl', 21) + offset - 30 * Math.exp(-hours / 2)
  await read(parts, 'l1/air', { hours: 26, rhPct: salt(0.5) })
  await read(parts, 'l2/air', { hours: 26, rhPct: salt(3) })
  await read(parts, 'lo/air', { hours: 26, rhPct: salt(-9) })
  at(6)
  expect((await check(parts, id)).standing).toMatchObject({
    ready: false,
    sentence: expect.stringContaining('settling'),
  })
  at(26)
  const ready = (await check(parts, id)).standing!
  expect(ready.probes.map(({ verdict }) => verdict)).toEqual(['fine', 'correct', 'reject'])
  const wrong = await post(parts, `/api/checks/${id}/finish`, { ...PLAIN, acts: [{ probe: 'lo/air', act: 'store' }] })
  expect(wrong.statusCode).toBe(409)
  const done = await post(parts, `/api/checks/${id}/finish`, { ...PLAIN, since: 'placed' })
  expect(done.statusCode).toBe(200)
  const tree = await house(parts)
  expect(tree.corrections).toEqual([
    { probe: 'l1/air', quantity: 'rhPct', offset: 0, from: '2023-01-01', why: expect.stringContaining('found right') },
    { probe: 'l2/air', quantity: 'rhPct', offset: -3, from: '2023-01-01', why: expect.stringContaining('over NaCl') },
  ])
  expect(probeOfTree(tree, 'lo').placements).toHaveLength(1)
  expect(probeOfTree(tree, 'l2').placements).toHaveLength(2)
  const list = (await parts.app.inject('/api/checks')).json<ChecksAnswer>()
  expect(list.probes.find(({ path }) => path === 'lo/air')).toMatchObject({
    hung: null,
    rejectedAt: START + 26 * HOUR,
    inCheck: null,
  })
  expect(list.salts.map(({ key }) => key)).toEqual(['LiCl', 'MgCl2', 'NaCl', 'KCl', 'K2SO4'])
})

test('a second salt is read together with the first, what was stored of it taken into account', async () => {
  const { parts, at } = await withHouse()
  const first = (
    await post(parts, '/api/checks', { kind: 'salt', salt: 'NaCl', probes: ['l1/air'] })
  ).json<CheckAnswer>()
  // Right at 33 %, three too high at 75 %: the error grows with humidity.
  const reads = (hours: number) => (hours < 20 ? saltRhPct('NaCl', 21) + 3 : saltRhPct('MgCl2', 21))
  await read(parts, 'l1/air', { hours: 48, rhPct: reads })
  at(20)
  expect((await post(parts, `/api/checks/${first.id}/finish`, PLAIN)).statusCode).toBe(200)
  const second = (
    await post(parts, '/api/checks', { kind: 'salt', salt: 'MgCl2', probes: ['l1/air'] })
  ).json<CheckAnswer>()
  at(48)
  const [probe] = (await check(parts, second.id)).standing!.probes
  // 42 % apart the errors differ by 3 %.
  expect(probe!.slope).toBeCloseTo(1 + 3 / 42.4, 1)
  expect(probe!.rhPct!.mid).toBeCloseTo(0.3, 0)
  expect(probe!.verdict).toBe('fine')
})

test('loggers that are read out afterwards: judged as of when the box was opened', async () => {
  const { parts, at } = await withHouse()
  const { id } = (
    await post(parts, '/api/checks', { kind: 'salt', salt: 'NaCl', probes: ['l1/air'] })
  ).json<CheckAnswer>()
  // In the box for 20 hours, then in the car.
  await read(parts, 'l1/air', { hours: 30, rhPct: (hours) => (hours < 20 ? saltRhPct('NaCl', 21) + 3 : 40 + hours) })
  at(30)
  const opened = START + 20 * HOUR
  expect((await check(parts, id)).standing!.ready).toBe(false)
  const then: CheckAnswer = (await parts.app.inject(`/api/checks/${id}?until=${opened}`)).json()
  expect(then.standing!.probes[0]).toMatchObject({ verdict: 'correct' })
  const late = await post(parts, `/api/checks/${id}/finish`, { ...PLAIN, until: START + 31 * HOUR })
  expect(late.statusCode).toBe(409)
  const done = await post(parts, `/api/checks/${id}/finish`, { ...PLAIN, until: opened })
  expect(done.json<CheckAnswer>().ended!.probes[0]!.stored).toEqual([{ quantity: 'rhPct', offset: -3 }])
})

test('a new logger of no house is checked before its first use, and the correction is there when it is hung', async () => {
  const { parts, at } = await withHouse()
  parts.db.raw.prepare("insert into loggers (key) values ('new')").run()
  parts.db.raw.prepare("insert into probes (logger_id, key) select id, 'air' from loggers where key = 'new'").run()
  const { id } = (
    await post(parts, '/api/checks', { kind: 'salt', salt: 'NaCl', probes: ['new/air'] })
  ).json<CheckAnswer>()
  await read(parts, 'new/air', { hours: 24, rhPct: () => saltRhPct('NaCl', 21) - 4 })
  at(24)
  expect((await post(parts, `/api/checks/${id}/finish`, PLAIN)).statusCode).toBe(200)
  const { house: tree, version } = (await parts.app.inject('/api/houses/test-house')).json()
  tree.loggers.push({ key: 'new', probes: [{ key: 'air', placements: [{ spot: 'crawl/low', from: '2026-05-12' }] }] })
  const put = await parts.app.inject({
    method: 'PUT',
    url: '/api/houses/test-house',
    payload: { house: tree, version, what: 'hung a new logger' },
  })
  expect(put.statusCode).toBe(200)
  expect(put.json().house.corrections).toMatchObject([{ probe: 'new/air', quantity: 'rhPct', offset: 4 }])
})

test('given up: hung again as if nothing had been; what cannot begin says why', async () => {
  const { parts, at } = await withHouse()
  const before = await house(parts)
  const refused = async (payload: object) => {
    const answer = await post(parts, '/api/checks', payload)
    expect(answer.statusCode).toBe(422)
    expect(answer.json().code).toBe('BAD_CHECK')
    return answer.json().message as string
  }
  expect(await refused({ kind: 'side by side', probes: ['l1/air'] })).toContain('alone')
  expect(await refused({ kind: 'salt', salt: 'sugar', probes: ['l1/air'] })).toContain('no salt')
  expect(await refused({ kind: 'salt', salt: 'KCl', probes: ['l9/air'] })).toContain('l9/air')
  expect(await refused({ kind: 'side by side', probes: ['l1/air', 'l1/air'] })).toContain('twice')
  const { id } = (
    await post(parts, '/api/checks', { kind: 'salt', salt: 'KCl', probes: ['l1/air'] })
  ).json<CheckAnswer>()
  expect(await refused({ kind: 'salt', salt: 'KCl', probes: ['l1/air'] })).toContain('already')
  expect(probeOfTree(await house(parts), 'l1').placements[0]!.to).toBe('2026-05-10T16:00')
  const ended = await post(parts, `/api/checks/${id}/give-up`, { hangAgain: true })
  expect(ended.json<CheckAnswer>()).toMatchObject({ state: 'given up', ended: null })
  expect(await house(parts)).toEqual(before)
  at(1)
  expect((await post(parts, `/api/checks/${id}/give-up`, { hangAgain: true })).statusCode).toBe(409)
  expect((await parts.app.inject('/api/checks/99')).json()).toMatchObject({ code: 'UNKNOWN_CHECK' })
})

test('the coach answers for a house in both unit systems, and not for one that is not there', async () => {
  const { parts } = await withHouse()
  const us = (await parts.app.inject('/api/houses/test-house/placing')).json<PlacingAnswer>()
  expect(us.enough).toContain('Outdoor air is measured at the house.')
  expect(us.enough.join(' ')).toContain('Low corner')
  expect(us.advice.map(({ key }) => key)).toContain('cold surface crawl')
  const si = (await parts.app.inject('/api/houses/test-house/placing?units=si')).json<PlacingAnswer>()
  expect(si.advice.map(({ key }) => key)).toEqual(us.advice.map(({ key }) => key))
  // In the box it will hang again where it hung, and is not at hand for another place.
  await post(parts, '/api/checks', { kind: 'side by side', probes: ['l1/air', 'lo/air'] })
  expect((await parts.app.inject('/api/houses/test-house/placing')).json<PlacingAnswer>()).toEqual(us)
  expect((await parts.app.inject('/api/houses/nowhere/placing')).json()).toMatchObject({ code: 'UNKNOWN_HOUSE' })
})
