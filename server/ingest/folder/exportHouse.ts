/** Writes a house folder: house.json, readings/ and photos/. Exported, loaded and exported again it is byte-identical. */
import { createWriteStream } from 'node:fs'
import { mkdir, readdir, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import { Readable } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import { createGzip } from 'node:zlib'
import { copyPhoto } from '../../files/photos.ts'
import { instantOfLocalText } from '../../series/localTime.ts'
import { QUANTITY_NAMES, type Quantity, type ReadingColumns } from '../../series/quantities.ts'
import { findHouse, findProbesOfHouse, findStationProbes } from '../../store/houses.ts'
import type { ProbeTree } from '../../store/houseTree.ts'
import type { Database } from '../../store/open.ts'
import { readHouse } from '../../store/readHouse.ts'
import { readColumns } from '../../store/readings.ts'
import { readingsHeader, readingsLines } from './readingsFile.ts'

export class ExportRefused extends Error {
  override name = 'ExportRefused'
}

export interface Exported {
  folder: string
  files: number
  readings: number
}

/**
 * @param folder made when missing
 * @throws ExportRefused when there is no such house, or the folder holds anything already
 */
export async function exportHouse(db: Database, key: string, folder: string): Promise<Exported> {
  const house = await findHouse(db, key)
  const tree = await readHouse(db, key)
  if (!house || !tree) throw new ExportRefused(`There is no house "${key}". \`underjoist houses\` lists them.`)
  await mkdir(join(folder, 'readings'), { recursive: true })
  if ((await readdir(folder)).length > 1 || (await readdir(join(folder, 'readings'))).length > 0) {
    throw new ExportRefused(`${folder} is not empty. Name a folder that does not exist yet.`)
  }

  const probeIds = new Map((await findProbesOfHouse(db, house.id)).map((p) => [`${p.logger}/${p.probe}`, p.id]))
  let files = 0
  let readings = 0
  const write = async (
    name: string,
    probeId: number,
    spans: readonly [number, number][],
  ): Promise<string | undefined> => {
    const file = `readings/${name}.csv.gz`
    const rows = await writeReadings(db, probeId, spans, join(folder, file))
    if (rows === 0) return undefined
    files++
    readings += rows
    return file
  }

  for (const logger of tree.loggers ?? []) {
    for (const probe of logger.probes) {
      const spans = placedSpans(probe, tree.timeZone)
      const file = await write(`${logger.key}.${probe.key}`, probeIds.get(`${logger.key}/${probe.key}`)!, spans)
      if (file) probe.file = file
    }
  }
  const stationProbes = await findStationProbes(db, house.id)
  for (const station of tree.stations ?? []) {
    const file = await write(`station.${station.key}`, stationProbes.get(station.key)!, [[0, Number.MAX_SAFE_INTEGER]])
    if (file) station.file = file
  }
  for (const photo of tree.photos ?? []) await copyPhoto(db.path, photo.hash, join(folder, 'photos', photo.hash))
  await writeFile(join(folder, 'house.json'), `${JSON.stringify(tree, null, 2)}\n`)
  return { folder, files: files + 1, readings }
}

/** Only what a probe said while it was in this house belongs to the house. */
const placedSpans = (probe: ProbeTree, timeZone: string): [number, number][] =>
  probe.placements.map(({ from, to }) => [
    instantOfLocalText(from, timeZone),
    to === undefined ? Number.MAX_SAFE_INTEGER : instantOfLocalText(to, timeZone),
  ])

async function writeReadings(
  db: Database,
  probeId: number,
  spans: readonly [number, number][],
  path: string,
): Promise<number> {
  const chunks: ReadingColumns[] = []
  for (const [from, to] of spans) chunks.push(await readColumns(db, probeId, from, to))
  const rows = chunks.reduce((sum, columns) => sum + columns.at.length, 0)
  if (rows === 0) return 0
  const quantities = QUANTITY_NAMES.filter((quantity: Quantity) => chunks.some((columns) => columns[quantity]))
  function* text() {
    yield readingsHeader(quantities)
    for (const columns of chunks) yield readingsLines(columns, quantities)
  }
  await pipeline(Readable.from(text()), createGzip({ level: 9 }), createWriteStream(path))
  return rows
}
