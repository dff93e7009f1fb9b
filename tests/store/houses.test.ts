import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, expect, test } from 'vitest'
import { findHouse, findProbesOfHouse, listHouses } from '../../server/store/houses.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import { houseTreeProblems } from '../../server/store/houseTreeProblems.ts'
import { type Database, openDatabase } from '../../server/store/open.ts'
import { readHouse } from '../../server/store/readHouse.ts'
import { storeHouse } from '../../server/store/storeHouse.ts'

const AT = { now: Date.UTC(2025, 0, 1), who: 'tester' }

function wholeHouse(): HouseTree {
  return {
    format: 'underjoist house 1',
    key: 'test-house',
    name: 'A house for tests',
    invented: true,
    place: 'Nowhere',
    timeZone: 'America/New_York',
    latitude: 35.5,
    longitude: -79,
    elevationM: 120,
    safety: {
      floodZone: 'no',
      combustionAppliances: 'not looked at',
      radonTest: 'yes',
      radonPciL: 2.1,
      utilityLocates: 'yes',
      structuralSigns: 'no',
      entryHazard: 'not looked at',
      note: 'tested in winter',
    },
    facts: { roofAreaM2: 160, downspouts: 'end at the wall', floorInsulated: true, targetRhPct: 55 },
    spaces: [
      {
        key: 'crawl',
        name: 'Crawl space',
        role: 'crawl space',
        kind: 'vented',
        floorAreaM2: 134,
        heightM: 1,
        perimeterM: 50,
        ventCount: 6,
        ventState: 'partly',
        groundCoverSharePct: 90,
        spots: [
          { key: 'low', name: 'Low corner', heightM: 0.15, x: 0.1, y: 0.9 },
          {
            key: 'duct',
            name: 'At the duct',
            coldSurface: { name: 'supply duct', insideTempC: 13, insulationM2KPerW: 0.7 },
          },
        ],
      },
      { key: 'out', name: 'Outdoors', role: 'outdoor', spots: [{ key: 'north', name: 'North wall' }] },
    ],
    loggers: [
      {
        key: 'l1',
        name: 'Blue box',
        probes: [
          {
            key: 'air',
            accuracyTempC: 0.3,
            accuracyRhPct: 2,
            placements: [
              { spot: 'crawl/low', from: '2024-03-01', to: '2024-06-01T12:00' },
              { spot: 'crawl/duct', from: '2024-06-01T12:30' },
            ],
          },
        ],
      },
      { key: 'l2', probes: [{ key: 'air', placements: [{ spot: 'out/north', from: '2024-03-01' }] }] },
    ],
    stations: [{ key: 'gauge', name: 'Rain gauge', kind: 'file', quantities: ['rainMm'] }],
    corrections: [
      { probe: 'l1/air', quantity: 'rhPct', offset: -1.5, from: '2024-03-01', to: '2024-05-01', why: 'salt check' },
    ],
    works: [
      { key: 'drain', kind: 'downspout drain', from: '2024-05-02', note: 'buried pipe' },
      {
        key: 'machine',
        kind: 'dehumidifier',
        from: '2024-08-01',
        to: '2024-08-20',
        details: { ratedLPerDay: 33, setPointRhPct: 52 },
      },
    ],
    events: [{ kind: 'visit', from: '2024-05-02T09:00', to: '2024-05-02T11:00' }],
    surveys: [
      {
        at: '2024-05-02T09:30',
        by: 'technician',
        readings: [{ spot: 'crawl/low', quantity: 'woodMcPct', value: 19.5 }],
      },
    ],
    photos: [{ hash: 'ab'.repeat(32), mediaType: 'image/jpeg', takenAt: '2024-05-02T09:31', caption: 'low corner' }],
  }
}

let folder: string
let db: Database
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'underjoist-houses-'))
  db = openDatabase(join(folder, 'test.db'))
})
afterEach(() => {
  db.close()
  rmSync(folder, { recursive: true })
})

test('a house that uses every part of the vocabulary comes back as it was given', async () => {
  const tree = wholeHouse()
  expect(houseTreeProblems(tree)).toEqual([])
  await storeHouse(db, tree, { ...AT, replace: false })
  expect(await readHouse(db, 'test-house')).toEqual(tree)
  expect(await listHouses(db)).toMatchObject([{ key: 'test-house', invented: true, spots: 3, works: 2 }])
})

test('the keys of a house that comes back stand in the order of the schema', async () => {
  await storeHouse(db, wholeHouse(), { ...AT, replace: false })
  expect(JSON.stringify(await readHouse(db, 'test-house'))).toBe(JSON.stringify(wholeHouse()))
})

test('safety facts nobody gave are "not looked at"', async () => {
  const { safety: _, ...tree } = wholeHouse()
  await storeHouse(db, tree, { ...AT, replace: false })
  expect((await readHouse(db, 'test-house'))?.safety).toEqual({
    floodZone: 'not looked at',
    combustionAppliances: 'not looked at',
    radonTest: 'not looked at',
    utilityLocates: 'not looked at',
    structuralSigns: 'not looked at',
    entryHazard: 'not looked at',
  })
})

test('a house whose key is taken is refused and the stored one stays', async () => {
  await storeHouse(db, wholeHouse(), { ...AT, replace: false })
  await expect(storeHouse(db, { ...wholeHouse(), name: 'Other' }, { ...AT, replace: false })).rejects.toThrow(
    'stored already',
  )
  expect((await findHouse(db, 'test-house'))?.name).toBe('A house for tests')
})

test('replacing facts keeps the readings with their probes and writes history with both states', async () => {
  const first = await storeHouse(db, wholeHouse(), { ...AT, replace: false })
  const probe = first.probes[0]!.id
  db.raw.prepare('insert into readings (probe_id, at, temp_c) values (?, ?, ?)').run(probe, AT.now, 2000)
  const changed = { ...wholeHouse(), name: 'Renamed', works: [] }
  const second = await storeHouse(db, changed, { ...AT, replace: true })
  expect(second.probes).toEqual(first.probes)
  expect(db.raw.prepare('select count(*) from readings where probe_id = ?').pluck().get(probe)).toBe(1)
  // A name and works do not touch what was measured; a correction does.
  const due = () => db.raw.prepare('select count(*) from hourly_due where probe_id = ?').pluck().get(probe)
  expect(due()).toBe(0)
  const { works: _, ...expected } = changed
  expect(await readHouse(db, 'test-house')).toEqual(expected)
  await storeHouse(db, { ...changed, corrections: [] }, { ...AT, replace: true })
  expect(due()).toBe(1)
  const last = db.raw.prepare('select what, before from history order by id limit 1 offset 1').get() as {
    what: string
    before: string
  }
  expect(last.what).toBe('replaced the facts of the house')
  expect(JSON.parse(last.before).name).toBe('A house for tests')
})

test('a failure halfway leaves nothing behind', async () => {
  const broken = wholeHouse()
  broken.loggers![0]!.probes[0]!.placements[0]!.spot = 'crawl/nowhere'
  await expect(storeHouse(db, broken, { ...AT, replace: false })).rejects.toThrow()
  for (const table of ['houses', 'spaces', 'loggers', 'history']) {
    expect(db.raw.prepare(`select count(*) from ${table}`).pluck().get(), table).toBe(0)
  }
})

test('probes of a house are those placed in it and those of its stations', async () => {
  const { houseId } = await storeHouse(db, wholeHouse(), { ...AT, replace: false })
  const probes = await findProbesOfHouse(db, houseId)
  expect(probes.map((probe) => probe.logger)).toEqual(['l1', 'l2', 'station.gauge'])
})

test.each([
  ['an unknown key', { colour: 'red' }, '/colour', 'is not a key known here'],
  ['a bad time zone', { timeZone: 'Mars/Olympus' }, '/timeZone', 'not a time zone'],
  ['a bad enum', { safety: { floodZone: 'maybe' } }, '/safety/floodZone', 'yes, no, not looked at'],
  [
    'a date that does not exist',
    { events: [{ kind: 'visit', from: '2024-02-30' }] },
    '/events/0/from',
    'does not exist',
  ],
  [
    'an end before its start',
    { events: [{ kind: 'visit', from: '2024-02-20', to: '2024-02-19' }] },
    '/events/0/to',
    'is not after',
  ],
  [
    'a work key twice',
    {
      works: [
        { key: 'a', kind: 'repair', from: '2024-01-01' },
        { key: 'a', kind: 'repair', from: '2024-02-01' },
      ],
    },
    '/works/1/key',
    'is there twice',
  ],
  [
    'a file outside the folder',
    { stations: [{ key: 'g', name: 'g', kind: 'file', quantities: [], file: 'readings/../../x' }] },
    '/stations/0/file',
    'pattern',
  ],
])('%s is refused by its path', (_what, change, path, sentence) => {
  const problems = houseTreeProblems({ ...wholeHouse(), ...change })
  expect(problems.map((problem) => problem.path)).toContain(path)
  expect(problems.find((problem) => problem.path === path)?.problem).toContain(sentence)
})

test('a probe cannot be at two spots at once', () => {
  const tree = wholeHouse()
  tree.loggers![0]!.probes[0]!.placements[1]!.from = '2024-05-30'
  expect(houseTreeProblems(tree)).toEqual([
    { path: '/loggers/0/probes/0/placements/1', problem: expect.stringContaining('overlaps placement 0') },
  ])
})
