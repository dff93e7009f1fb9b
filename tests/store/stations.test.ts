import { expect, test } from 'vitest'
import { readHistory, undoEntry } from '../../server/store/history.ts'
import { findHouse, findStationProbes } from '../../server/store/houses.ts'
import type { Database } from '../../server/store/open.ts'
import { readHouse } from '../../server/store/readHouse.ts'
import { storeReadings } from '../../server/store/readings.ts'
import { findLastHeard, noteBackfill, noteFetch } from '../../server/store/stationFetches.ts'
import { attachStation, detachStation } from '../../server/store/stationHouses.ts'
import {
  addStation,
  changeStation,
  findStation,
  findStations,
  removeStation,
  StationRefused,
} from '../../server/store/stations.ts'
import { storeHouse } from '../../server/store/storeHouse.ts'
import { addProbes, scratchDatabase } from '../support/database.ts'
import { stepsOf, TEST_HOUSE } from '../support/studiedHouse.ts'

const NOW = Date.UTC(2026, 4, 20)
const BY = { now: NOW, who: 'a test' }
const URL = 'https://weather.example/x?key=hush&from={from}'
const mill = { key: 'mill', name: 'Old mill', kind: 'https' as const, quantities: ['tempC'], config: { url: URL } }

const refused = async (work: Promise<unknown>): Promise<string> => {
  const error = await work.then(
    () => null,
    (caught: unknown) => caught,
  )
  expect(error).toBeInstanceOf(StationRefused)
  return (error as StationRefused).kind
}

async function withHouses(...keys: string[]): Promise<Database> {
  const db = scratchDatabase()
  for (const key of keys) await storeHouse(db, { ...TEST_HOUSE, key, loggers: [] }, { replace: false, ...BY })
  return db
}

test('a station has a probe of its own, and what is not said of it is a plain beginning', async () => {
  const db = await withHouses()
  await addStation(db, mill)
  expect(await findStations(db)).toEqual([
    {
      id: expect.any(Number),
      key: 'mill',
      name: 'Old mill',
      kind: 'https',
      quantities: ['tempC'],
      config: { timeZone: 'UTC', url: URL, everyMin: 60, holdBackMin: 0, answers: {}, fileProbes: [], backfill: null },
      probeId: expect.any(Number),
      probe: 'station.mill/weather',
      houses: [],
      fetch: null,
    },
  ])
  expect(await refused(addStation(db, mill))).toBe('key taken')
})

test('a logger that reports by MQTT can be a station; an unknown or retired one cannot', async () => {
  const db = await withHouses('a')
  const [probe] = addProbes(db, 1, 'gate-7')
  const gate = { key: 'gate', name: 'Gate', kind: 'mqtt' as const, quantities: ['tempC', 'rhPct'], config: {} }
  expect(await refused(addStation(db, { ...gate, probe: 'gate-8/air' }))).toBe('bad')
  await addStation(db, { ...gate, probe: 'gate-7/probe-1' })
  await attachStation(db, 'gate', 'a', BY)
  const house = (await findHouse(db, 'a'))!
  expect(await findStationProbes(db, house.id)).toEqual(new Map([['gate', probe]]))
  // The house is stored again by others; the station stays that logger.
  await storeHouse(db, { ...(await readHouse(db, 'a'))!, place: 'Elsewhere' }, { replace: true, ...BY })
  expect(await findStation(db, 'gate')).toMatchObject({ probeId: probe, probe: 'gate-7/probe-1', kind: 'mqtt' })
  expect(db.raw.prepare("select count(*) from loggers where key like 'station.%'").pluck().get()).toBe(0)
  db.raw.prepare("update loggers set retired_at = 1 where key = 'gate-7'").run()
  expect(await refused(addStation(db, { ...gate, key: 'gate-2', probe: 'gate-7/probe-1' }))).toBe('bad')
})

test('a house takes a station and gives it back as changes of its own, which its history undoes', async () => {
  const db = await withHouses('a')
  await addStation(db, mill)
  await attachStation(db, 'mill', 'a', BY)
  await attachStation(db, 'mill', 'a', BY) // once more changes nothing
  expect((await readHouse(db, 'a'))!.stations).toEqual([
    { key: 'mill', name: 'Old mill', kind: 'https', quantities: ['tempC'] },
  ])
  expect((await findStation(db, 'mill'))!.houses).toEqual([{ key: 'a', name: TEST_HOUSE.name, invented: true }])
  await detachStation(db, 'mill', 'a', BY)
  expect((await readHouse(db, 'a'))!.stations).toBeUndefined()
  const [latest, ...earlier] = (await readHistory(db, 'a'))!
  expect([latest!.what, earlier[0]!.what]).toEqual(['no longer uses the station Old mill', 'uses the station Old mill'])
  expect(earlier).toHaveLength(2)
  expect(await undoEntry(db, 'a', latest!.id, BY)).toEqual({ done: true })
  expect((await findStation(db, 'mill'))!.houses).toHaveLength(1)
  expect(await refused(attachStation(db, 'mill', 'nowhere', BY))).toBe('unknown house')
  expect(await refused(attachStation(db, 'none', 'a', BY))).toBe('unknown station')
})

test('what is undone in one house does not rename a fetched station for the others', async () => {
  const db = await withHouses('a', 'b')
  await addStation(db, mill)
  for (const house of ['a', 'b']) await attachStation(db, 'mill', house, BY)
  await detachStation(db, 'mill', 'a', BY)
  const [taken] = (await readHistory(db, 'a'))!
  await changeStation(db, 'mill', { ...mill, name: 'New mill', quantities: ['tempC', 'rainMm'] })
  await undoEntry(db, 'a', taken!.id, BY)
  expect(await findStation(db, 'mill')).toMatchObject({
    name: 'New mill',
    kind: 'https',
    quantities: ['tempC', 'rainMm'],
    config: { url: URL },
  })
  expect((await readHouse(db, 'b'))!.stations![0]!.name).toBe('New mill')
})

test('a station that houses use stays; one that nobody uses goes, and its key is not given again', async () => {
  const db = await withHouses('a')
  await addStation(db, mill)
  await noteFetch(db, (await findStation(db, 'mill'))!.id, { at: NOW, ok: false, problem: 'down' })
  await attachStation(db, 'mill', 'a', BY)
  expect(await refused(removeStation(db, 'mill'))).toBe('in use')
  await detachStation(db, 'mill', 'a', BY)
  await removeStation(db, 'mill')
  expect(await findStations(db)).toEqual([])
  expect(await refused(removeStation(db, 'mill'))).toBe('unknown station')
  expect(await refused(addStation(db, mill))).toBe('key taken')
})

test('fetches are counted: failures in a row, the last good one, the tag and the newest reading', async () => {
  const db = await withHouses()
  await addStation(db, mill)
  const { id } = (await findStation(db, 'mill'))!
  const fetched = async () => (await findStation(db, 'mill'))!.fetch
  const good = { ok: true, tag: 'k "v1"', newestAt: NOW - 5, stored: 24, quantities: ['tempC', 'rainMm'] } as const
  await noteFetch(db, id, { at: NOW, ...good })
  expect(await fetched()).toEqual({
    triedAt: NOW,
    okAt: NOW,
    problem: null,
    failures: 0,
    tag: 'k "v1"',
    newestAt: NOW - 5,
    stored: 24,
  })
  expect((await findStation(db, 'mill'))!.quantities).toEqual(['tempC', 'rainMm'])
  for (const at of [NOW + 1, NOW + 2]) await noteFetch(db, id, { at, ok: false, problem: 'down' })
  expect(await fetched()).toMatchObject({ triedAt: NOW + 2, okAt: NOW, problem: 'down', failures: 2, tag: 'k "v1"' })
  await noteFetch(db, id, { at: NOW + 3, ok: true, unchanged: true })
  expect(await fetched()).toMatchObject({ okAt: NOW + 3, problem: null, failures: 0, stored: 0, newestAt: NOW - 5 })
  await noteFetch(db, id, { at: NOW + 4, ...good, newestAt: NOW - 9 })
  expect((await fetched())!.newestAt).toBe(NOW - 5)
  await changeStation(db, 'mill', { ...mill, name: 'Renamed' })
  expect(await fetched()).toMatchObject({ triedAt: NOW + 4, tag: 'k "v1"' })
  await changeStation(db, 'mill', { ...mill, config: { answers: { dateOrder: 'dmy' } } })
  expect(await fetched()).toMatchObject({ triedAt: 0, tag: null })
  await removeStation(db, 'mill')
  await noteFetch(db, id, { at: NOW, ok: false, problem: 'down' })
  expect(db.raw.prepare('select count(*) from station_fetches').pluck().get()).toBe(0)
})

test('a backfill that was begun anew is not overwritten by the window of the old one', async () => {
  const db = await withHouses()
  await addStation(db, mill)
  const { id } = (await findStation(db, 'mill'))!
  const old = {
    from: '2026-01-01',
    nextAt: 1,
    toAt: 9,
    stored: 0,
    failures: 0,
    triedAt: 0,
    state: 'running' as const,
    problem: null,
  }
  expect(await noteBackfill(db, id, old, 'any')).toBe(true)
  const anew = { ...old, from: '2025-01-01' }
  await noteBackfill(db, id, anew, 'any')
  expect(await noteBackfill(db, id, { ...old, nextAt: 5 }, old)).toBe(false)
  expect((await findStation(db, 'mill'))!.config.backfill).toEqual(anew)
  await changeStation(db, 'mill', { ...mill, name: 'Renamed' })
  expect((await findStation(db, 'mill'))!.config.backfill).toEqual(anew)
})

test('what it said last is the newest air of its last day and the rain of that day', async () => {
  const db = await withHouses()
  await addStation(db, mill)
  const { probeId } = (await findStation(db, 'mill'))!
  expect(await findLastHeard(db, probeId)).toBeNull()
  const h = 3_600_000
  const at = Float64Array.of(NOW - 30 * h, NOW - 3 * h, NOW - 2 * h, NOW - h)
  const some = Number.NaN
  await storeReadings(
    db,
    stepsOf(probeId, {
      at,
      tempC: Float64Array.of(9, 20, 21.5, some),
      rhPct: Float64Array.of(50, 60, 61, some),
      rainMm: Float64Array.of(7, 0.2, some, 1.4),
    }),
  )
  expect(await findLastHeard(db, probeId)).toEqual({ at: NOW - h, tempC: 21.5, rhPct: 61, rainMm: 1.6 })
})

test('no station becomes a logger, and no logger another kind of station', async () => {
  const db = await withHouses()
  addProbes(db, 1, 'gate-7')
  await addStation(db, mill)
  expect(await refused(changeStation(db, 'mill', { ...mill, kind: 'mqtt', probe: 'gate-7/probe-1' }))).toBe('bad')
  await changeStation(db, 'mill', { ...mill, kind: 'file' })
  expect((await findStation(db, 'mill'))!.kind).toBe('file')
})
