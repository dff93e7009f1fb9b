/** A database with something in most of its tables, and photos beside it: what a backup has to bring back. */
import { createHash } from 'node:crypto'
import { keepPhotoBytes } from '../../server/files/photos.ts'
import { findProbesOfHouse } from '../../server/store/houses.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import { openDatabase } from '../../server/store/open.ts'
import { readHouse } from '../../server/store/readHouse.ts'
import { storeReadings } from '../../server/store/readings.ts'
import { storeHouse } from '../../server/store/storeHouse.ts'
import { type Enrolled, enroll } from './enroll.ts'
import { seeded } from './seeded.ts'

const FIRST_AT = Date.UTC(2025, 5, 1)
const STEP_MS = 300_000

export interface Kept {
  path: string
  /** SHA-256 of the photos. */
  photos: string[]
  /** Loggers that hang nowhere and may report. */
  loggers: Enrolled[]
}

/** @param rows readings of the house's one probe */
export async function keptHouse(path: string, { rows = 5000, photos = 3, loggers = 2 } = {}): Promise<Kept> {
  const db = openDatabase(path)
  try {
    const enrolled = enroll(db, loggers)
    const hashes: string[] = []
    for (let i = 0; i < photos; i++) hashes.push(await keepPhotoBytes(path, pictureBytes(i)))
    const tree = treeWith(hashes)
    await storeHouse(db, tree, { replace: false, now: FIRST_AT, who: 'tester' })
    const read = (await readHouse(db, tree.key))!
    const renamed = { ...read, name: 'Kept house, renamed' }
    await storeHouse(db, renamed, { replace: true, now: FIRST_AT + 1, who: 'tester' })
    const house = db.raw.prepare('select id from houses').pluck().get() as number
    const [probe] = await findProbesOfHouse(db, house)
    const at = Float64Array.from({ length: rows }, (_, i) => FIRST_AT + i * STEP_MS)
    const tempC = at.map((_, i) => 2000 + (i % 700))
    await storeReadings(db, { probeId: probe!.id, at, steps: { tempC } })
    return { path, photos: hashes, loggers: enrolled }
  } finally {
    db.close()
  }
}

const treeWith = (hashes: readonly string[]): HouseTree => ({
  format: 'underjoist house 1',
  key: 'kept',
  name: 'Kept house',
  invented: true,
  timeZone: 'America/New_York',
  spaces: [{ key: 'crawl', name: 'Crawl space', role: 'crawl space', spots: [{ key: 'low', name: 'Low corner' }] }],
  loggers: [{ key: 'b1', probes: [{ key: 'air', placements: [{ spot: 'crawl/low', from: '2025-05-01' }] }] }],
  works: [{ key: 'drain', kind: 'yard drain', from: '2025-07-01' }],
  events: [{ kind: 'visit', from: '2025-07-02T09:00', to: '2025-07-02T10:00' }],
  photos: hashes.map((hash, i) => ({ hash, mediaType: 'image/jpeg' as const, caption: `picture ${i + 1}` })),
})

/** Begins as a JPEG does; no two are alike. */
function pictureBytes(index: number): Buffer {
  const next = seeded(index + 1)
  return Buffer.concat([Buffer.of(0xff, 0xd8, 0xff), Buffer.from(Array.from({ length: 20_000 }, () => next() * 256))])
}

export const sha256 = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex')
