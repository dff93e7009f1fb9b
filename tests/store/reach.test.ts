/** What belongs to which house, as whoever reaches some houses alone is told or not told of it. */
import { expect, test } from 'vitest'
import { createReach } from '../../server/store/reach.ts'
import { scratchDatabase } from '../support/database.ts'
import { storeTestHouse, TEST_HOUSE } from '../support/studiedHouse.ts'

test('a house is known by key and number; what is nowhere belongs to none', async () => {
  const db = scratchDatabase()
  const { houseId } = await storeTestHouse(db, TEST_HOUSE)
  const reach = createReach(db)
  expect(await reach({ kind: 'house', name: 'test-house' })).toEqual(['test-house'])
  expect(await reach({ kind: 'house', name: String(houseId) })).toEqual(['test-house'])
  expect(await reach({ kind: 'house', name: 'other-house' })).toBeUndefined()
  db.raw.prepare(`insert into loggers (key, code) values ('van', 'ABC-123')`).run()
  expect(await reach({ kind: 'logger', name: 'van' })).toEqual([null])
  expect(await reach({ kind: 'logger', name: 'abc-123' })).toEqual([null])
})

test('a probe belongs to every house it ever hung at, for its readings of each go with it', async () => {
  const db = scratchDatabase()
  const moved = [{ spot: 'crawl/low', from: '2023-01-01', to: '2024-01-01' }]
  const l1 = { key: 'l1', probes: [{ key: 'air', placements: moved }] }
  const { probes } = await storeTestHouse(db, { ...TEST_HOUSE, loggers: [l1] })
  const l1AtOther = { key: 'l1', probes: [{ key: 'air', placements: [{ spot: 'crawl/mid', from: '2024-02-01' }] }] }
  await storeTestHouse(db, { ...TEST_HOUSE, key: 'other-house', loggers: [l1AtOther] })
  const reach = createReach(db)
  expect((await reach({ kind: 'probe', name: String(probes[0]!.id) }))?.sort()).toEqual(['other-house', 'test-house'])
  expect(await reach({ kind: 'probe', name: '999' })).toBeUndefined()
})

test('photos and imports go with their house; an import of none is nobody’s who reaches some houses alone', async () => {
  const db = scratchDatabase()
  const { houseId } = await storeTestHouse(db, TEST_HOUSE)
  const hash = 'a'.repeat(64)
  db.raw.prepare(`insert into photos (house_id, hash, media_type) values (?, ?, 'image/png')`).run(houseId, hash)
  const file = `insert into imports (house_id, file_name, file_bytes, state, understanding, started_at)
    values (?, 'a.csv', 1, 'stored', '{}', 0) returning id`
  const id = String((db.raw.prepare(file).get(houseId) as { id: number }).id)
  const loose = String((db.raw.prepare(file).get(null) as { id: number }).id)
  const reach = createReach(db)
  expect(await reach({ kind: 'photo', name: hash })).toEqual(['test-house'])
  expect(await reach({ kind: 'photo', name: 'b'.repeat(64) })).toBeUndefined()
  expect(await reach({ kind: 'import', name: id })).toEqual(['test-house'])
  expect(await reach({ kind: 'import', name: loose })).toBeUndefined()
})
