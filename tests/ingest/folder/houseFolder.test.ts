/** House folders out and in again: nothing is lost, nothing of another house goes along. */

import { createHash } from 'node:crypto'
import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { gunzipSync } from 'node:zlib'
import { afterEach, beforeEach, expect, test } from 'vitest'
import { exportHouse } from '../../../server/ingest/folder/exportHouse.ts'
import { loadHouseFolder } from '../../../server/ingest/folder/loadHouse.ts'
import type { ImportDeps } from '../../../server/ingest/import.ts'
import { createIntake } from '../../../server/ingest/intake.ts'
import type { HouseTree } from '../../../server/store/houseTree.ts'
import { openDatabase } from '../../../server/store/open.ts'
import { scratchFolder } from '../../support/database.ts'

const NOW = Date.UTC(2025, 0, 1)
const now = () => NOW
const who = 'tester'

let folder: string
const opened: ImportDeps[] = []
beforeEach(() => {
  folder = scratchFolder()
})
afterEach(() => {
  for (const { db } of opened.splice(0)) db.close()
  rmSync(folder, { recursive: true, force: true })
})

function open(name: string): ImportDeps {
  const db = openDatabase(join(folder, name))
  const deps = { db, intake: createIntake(db, { now }), now }
  opened.push(deps)
  return deps
}

const PHOTO = Buffer.from('not really a picture, but bytes are bytes')
const PHOTO_HASH = createHash('sha256').update(PHOTO).digest('hex')

const tree: HouseTree = {
  format: 'underjoist house 1',
  key: 'small',
  name: 'A small house',
  invented: true,
  timeZone: 'America/New_York',
  spaces: [
    { key: 'crawl', name: 'Crawl space', role: 'crawl space', spots: [{ key: 'low', name: 'Low corner' }] },
    { key: 'out', name: 'Outdoors', role: 'outdoor', spots: [{ key: 'north', name: 'North wall' }] },
  ],
  loggers: [
    {
      key: 'b1',
      probes: [
        {
          key: 'air',
          placements: [{ spot: 'crawl/low', from: '2024-03-01', to: '2024-03-04' }],
          file: 'readings/b1.csv',
        },
      ],
    },
    {
      key: 'b2',
      probes: [{ key: 'air', placements: [{ spot: 'out/north', from: '2024-03-01' }], file: 'readings/b2.csv' }],
    },
  ],
  stations: [{ key: 'gauge', name: 'Gauge', kind: 'file', quantities: ['rainMm'], file: 'readings/rain.csv' }],
  works: [{ key: 'drain', kind: 'yard drain', from: '2024-03-03' }],
  photos: [{ hash: PHOTO_HASH, mediaType: 'image/jpeg', caption: 'low corner' }],
}

/** b1 goes on measuring after it left this house; those rows belong to no house here. */
function writeFolder(path: string, house: unknown = tree): void {
  mkdirSync(join(path, 'readings'), { recursive: true })
  mkdirSync(join(path, 'photos'))
  writeFileSync(join(path, 'photos', PHOTO_HASH), PHOTO)
  writeFileSync(join(path, 'house.json'), JSON.stringify(house))
  const rows = (days: number, line: (hour: number, stamp: string) => string) =>
    Array.from({ length: days * 24 }, (_, hour) => {
      const at = new Date(Date.UTC(2024, 2, 1, hour)).toISOString()
      return line(hour, `${at.slice(0, 10)} ${at.slice(11, 16)}`)
    }).join('\n')
  writeFileSync(
    join(path, 'readings/b1.csv'),
    `time,temperature (°F),RH (%)\n${rows(6, (h, t) => `${t},${(60 + (h % 24) / 2).toFixed(1)},${70 + (h % 7)}`)}\n`,
  )
  writeFileSync(
    join(path, 'readings/b2.csv'),
    `time;temp_c;rh_pct;battery (V)\n${rows(6, (h, t) => `${t};${(9 + (h % 24) / 3).toFixed(2).replace('.', ',')};${80 + (h % 5)},5;3,05`)}\n`,
  )
  writeFileSync(
    join(path, 'readings/rain.csv'),
    `time_utc,rain_mm\n${rows(6, (h, t) => `${t.replace(' ', 'T')}:00Z,${h % 30 === 0 ? 2.5 : 0}`)}\n`,
  )
}

const bytesBelow = (path: string): Record<string, string> =>
  Object.fromEntries(
    readdirSync(path, { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .map((entry) => [
        join(entry.parentPath, entry.name).slice(path.length),
        readFileSync(join(entry.parentPath, entry.name), 'base64'),
      ]),
  )

test('exported, loaded and exported again, a house is the same to the byte, photos too', async () => {
  writeFolder(join(folder, 'given'))
  const first = open('first.db')
  const loaded = await loadHouseFolder(first, join(folder, 'given'), { who })
  expect(loaded).toMatchObject({ house: 'new', name: 'A small house' })
  expect(loaded.files.map(({ result }) => result.stored)).toEqual([144, 144, 144])
  await exportHouse(first.db, 'small', join(folder, 'once'))

  const second = open('second.db')
  await loadHouseFolder(second, join(folder, 'once'), { who })
  await exportHouse(second.db, 'small', join(folder, 'twice'))
  const once = bytesBelow(join(folder, 'once'))
  expect(Object.keys(once).sort()).toEqual([
    '/house.json',
    `/photos/${PHOTO_HASH}`,
    '/readings/b1.air.csv.gz',
    '/readings/b2.air.csv.gz',
    '/readings/station.gauge.csv.gz',
  ])
  expect(bytesBelow(join(folder, 'twice'))).toEqual(once)
})

test('what a logger measured after it left the house does not go along', async () => {
  writeFolder(join(folder, 'given'))
  const deps = open('first.db')
  await loadHouseFolder(deps, join(folder, 'given'), { who })
  await exportHouse(deps.db, 'small', join(folder, 'once'))
  const lines = gunzipSync(readFileSync(join(folder, 'once/readings/b1.air.csv.gz')))
    .toString()
    .trim()
    .split('\n')
  expect(lines[0]).toBe('at_utc,temp_c,rh_pct')
  expect(lines[1]).toBe('2024-03-01T05:00:00Z,15.56,70.00')
  expect(lines).toHaveLength(1 + 3 * 24)
})

test('loading a folder again adds nothing; changed facts are refused, and taken with replace', async () => {
  writeFolder(join(folder, 'given'))
  const deps = open('first.db')
  await loadHouseFolder(deps, join(folder, 'given'), { who })
  const again = await loadHouseFolder(deps, join(folder, 'given'), { who })
  expect(again.house).toBe('same')
  expect(again.files.map(({ result }) => [result.stored, result.repeated])).toEqual([
    [0, 144],
    [0, 144],
    [0, 144],
  ])

  writeFolder(join(folder, 'changed'), {
    ...tree,
    works: [{ key: 'drain', kind: 'footing drain', from: '2024-03-03' }],
  })
  await expect(loadHouseFolder(deps, join(folder, 'changed'), { who })).rejects.toThrow('--replace')
  const replaced = await loadHouseFolder(deps, join(folder, 'changed'), { who, replace: true })
  expect(replaced.house).toBe('replaced')
  expect((await loadHouseFolder(deps, join(folder, 'changed'), { who })).house).toBe('same')
})

test.each([
  ['an unknown key', { ...tree, windows: 3 }, '/windows'],
  ['a bad value deep inside', { ...tree, works: [{ key: 'x', kind: 'magic', from: '2024-03-03' }] }, '/works/0/kind'],
  ['not an object', 7, 'object'],
])('%s is refused by its path, and nothing is stored', async (_what, house, path) => {
  writeFolder(join(folder, 'given'), house)
  const deps = open('first.db')
  await expect(loadHouseFolder(deps, join(folder, 'given'), { who })).rejects.toThrow(path)
  expect(deps.db.raw.prepare('select count(*) from houses').pluck().get()).toBe(0)
})

test('a folder that lacks a file its house.json names is refused before anything is stored', async () => {
  writeFolder(join(folder, 'given'))
  rmSync(join(folder, 'given/readings/b2.csv'))
  const deps = open('first.db')
  await expect(loadHouseFolder(deps, join(folder, 'given'), { who })).rejects.toThrow('readings/b2.csv')
  expect(deps.db.raw.prepare('select count(*) from houses').pluck().get()).toBe(0)
})

test('a photo whose bytes are others than its name says is refused', async () => {
  writeFolder(join(folder, 'given'))
  writeFileSync(join(folder, 'given/photos', PHOTO_HASH), 'other bytes')
  await expect(loadHouseFolder(open('first.db'), join(folder, 'given'), { who })).rejects.toThrow('is not the photo')
})

test('an export does not write into a folder that holds something', async () => {
  writeFolder(join(folder, 'given'))
  const deps = open('first.db')
  await loadHouseFolder(deps, join(folder, 'given'), { who })
  await expect(exportHouse(deps.db, 'small', join(folder, 'given'))).rejects.toThrow('not empty')
  await expect(exportHouse(deps.db, 'other', join(folder, 'new'))).rejects.toThrow('no house "other"')
})
