/** A photo of a logger where it hangs, among the photos of the house; its bytes lie beside the database (files/photos.ts). */
import { localTimeText } from '../series/localTime.ts'
import { houseRow } from './houses.ts'
import type { HouseTree } from './houseTree.ts'
import { type Act, mustBeInService } from './loggerLife.ts'
import { LoggerRefused } from './loggerRefused.ts'
import { findLogger } from './loggers.ts'
import type { Database } from './open.ts'
import { readTree } from './readHouse.ts'
import { writeHouses } from './storeHouse.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

type Photo = NonNullable<HouseTree['photos']>[number]

/**
 * Taken now.
 * @throws LoggerRefused when it hangs nowhere
 */
export async function addLoggerPhoto(
  db: Database,
  key: string,
  { hash, mediaType }: Pick<Photo, 'hash' | 'mediaType'>,
  { now, who }: Act,
): Promise<void> {
  const logger = await findLogger(db, key, now)
  inTransaction(db, () => {
    mustBeInService(db, key)
    const placed = logger?.probes.find((probe) => probe.placed !== null)?.placed
    const row = placed ? houseRow(db, placed.house) : undefined
    if (!placed || row === undefined) {
      throw new LoggerRefused(
        'bad placement',
        `Logger "${key}" hangs nowhere. Place it before it is photographed.`,
        'key',
      )
    }
    const tree = readTree(db, row)
    const caption = `logger ${key} at ${placed.spotName}`
    const photo: Photo = { hash, mediaType, takenAt: localTimeText(now, tree.timeZone), caption }
    const photos = [...(tree.photos ?? []).filter((one) => one.hash !== hash), photo]
    const what = `photographed ${caption}`
    writeHouses(db, [{ tree: { ...tree, photos }, change: { replace: true, now, who, what } }])
  })
}

/** What a photo is; undefined when no house has it. */
export async function findPhotoType(db: Database, hash: string): Promise<string | undefined> {
  const find = statement(db, 'select media_type from photos where hash = ? limit 1').pluck()
  return find.get(hash) as string | undefined
}
