/** Brings a house folder in: house.json checked as a whole first, then the house, then each readings file through the importer. */
import { existsSync } from 'node:fs'
import { readFile } from 'node:fs/promises'
import { basename, join } from 'node:path'
import { isDeepStrictEqual } from 'node:util'
import { keepPhoto } from '../../files/photos.ts'
import { findHouse, findProbesOfHouse, findStationProbes, type ProbeId } from '../../store/houses.ts'
import type { HouseTree } from '../../store/houseTree.ts'
import { houseTreeProblems, type TreeProblem } from '../../store/houseTreeProblems.ts'
import { readHouse } from '../../store/readHouse.ts'
import { safetyAnswers } from '../../store/safety.ts'
import { storeHouse } from '../../store/storeHouse.ts'
import type { Answers } from '../csv/understanding.ts'
import { type ImportDeps, type ImportResult, importFile } from '../import.ts'

/** The folder cannot be loaded; nothing of it was stored. */
export class FolderRefused extends Error {
  override name = 'FolderRefused'
  readonly problems: TreeProblem[]

  constructor(message: string, problems: TreeProblem[] = [], options?: ErrorOptions) {
    super([message, ...problems.map(({ path, problem }) => `  ${path} ${problem}`)].join('\n'), options)
    this.problems = problems
  }
}

export interface LoadOptions {
  /** Replace the facts of a stored house of the same key; its readings stay. */
  replace?: boolean
  who: string
  signal?: AbortSignal
  onProgress?: (file: string, bytesDone: number, bytesTotal: number) => void
}

export interface LoadedFile {
  file: string
  result: ImportResult
}

export interface Loaded {
  houseId: number
  key: string
  name: string
  /** Whether the house was new, replaced, or there already with the same facts. */
  house: 'new' | 'replaced' | 'same'
  files: LoadedFile[]
}

/** One readings file, and the probe each of the probes in it is. */
interface ReadingsFile {
  file: string
  probes: Record<string, number>
  answers: Answers
}

/** @throws FolderRefused with every problem by its path; ImportRefused where a readings file cannot be read */
export async function loadHouseFolder(deps: ImportDeps, folder: string, options: LoadOptions): Promise<Loaded> {
  const tree = await readTreeOf(folder)
  const missing = filesOf(tree).filter((file) => !existsSync(join(folder, file)))
  if (missing.length > 0) {
    throw new FolderRefused(
      `${folder} lacks files that house.json names: ${missing.join(', ')}. Copy the folder again.`,
    )
  }
  const { db, now } = deps
  const existing = await findHouse(db, tree.key)
  const stored = await readHouse(db, tree.key)
  const same = stored !== undefined && isDeepStrictEqual(comparable(stored), comparable(tree))
  if (existing && !same && !options.replace) {
    throw new FolderRefused(
      `A house "${tree.key}" is stored already and its facts differ from this folder's. To take the folder's, load it with --replace; the readings stay.`,
    )
  }
  for (const photo of tree.photos ?? []) await keepPhoto(db.path, join(folder, 'photos', photo.hash), photo.hash)
  if (!same) await storeHouse(db, tree, { replace: existing !== undefined, now: now(), who: options.who })
  const house = (await findHouse(db, tree.key))!

  const files: LoadedFile[] = []
  const ids = await findProbesOfHouse(db, house.id)
  for (const { file, probes, answers } of readingsFilesOf(tree, ids, await findStationProbes(db, house.id))) {
    if (options.signal?.aborted) break
    const result = await importFile(
      deps,
      { path: join(folder, file), fileName: basename(file), houseId: house.id, probes, answers },
      { signal: options.signal, onProgress: (done, total) => options.onProgress?.(file, done, total) },
    )
    files.push({ file, result })
  }
  return {
    houseId: house.id,
    key: tree.key,
    name: tree.name,
    house: same ? 'same' : existing ? 'replaced' : 'new',
    files,
  }
}

async function readTreeOf(folder: string): Promise<HouseTree> {
  const path = join(folder, 'house.json')
  const text = await readFile(path, 'utf8').catch((cause: unknown) => {
    throw new FolderRefused(`${path} cannot be read. A house folder holds a house.json and a folder readings.`, [], {
      cause,
    })
  })
  let value: unknown
  try {
    value = JSON.parse(text)
  } catch (cause) {
    throw new FolderRefused(`${path} is not JSON: ${(cause as Error).message}.`, [], { cause })
  }
  const problems = houseTreeProblems(value)
  if (problems.length > 0) throw new FolderRefused(`${path} has ${problems.length} problem(s):`, problems)
  return value as HouseTree
}

function filesOf(tree: HouseTree): string[] {
  const named = [
    ...(tree.loggers ?? []).flatMap((logger) => logger.probes.map((probe) => probe.file)),
    ...(tree.stations ?? []).map((station) => station.file),
    ...(tree.photos ?? []).map((photo) => `photos/${photo.hash}`),
  ]
  return [...new Set(named.filter((file) => file !== undefined))]
}

/** Several probes may name one file: it is brought in once, with all of them. */
function readingsFilesOf(tree: HouseTree, ids: ProbeId[], stations: Map<string, number>): ReadingsFile[] {
  const files = new Map<string, ReadingsFile>()
  const add = (file: string | undefined, inFile: string, id: number, answers: Record<string, unknown> | undefined) => {
    if (file === undefined) return
    const known = files.get(file) ?? { file, probes: {}, answers: {} }
    known.probes[inFile] = id
    Object.assign(known.answers, answers)
    files.set(file, known)
  }
  for (const logger of tree.loggers ?? []) {
    for (const probe of logger.probes) {
      const id = ids.find((one) => one.logger === logger.key && one.probe === probe.key)
      if (id) add(probe.file, probe.fileProbe ?? '*', id.id, probe.answers)
    }
  }
  for (const station of tree.stations ?? []) add(station.file, '*', stations.get(station.key)!, station.answers)
  return [...files.values()]
}

/** A tree without what does not count when two are compared: file names, the order of loggers, empty lists, defaults. */
function comparable(tree: HouseTree): unknown {
  const { loggers = [], stations = [], safety, facts, invented, ...rest } = tree
  const placed = loggers.flatMap((logger) =>
    logger.probes
      .filter((probe) => probe.placements.length > 0)
      .map(({ file: _, fileProbe: __, answers: ___, ...probe }) => ({
        logger: logger.key,
        name: logger.name,
        ...probe,
      })),
  )
  const nonEmpty = Object.entries(rest).filter(([, value]) => !(Array.isArray(value) && value.length === 0))
  return JSON.parse(
    JSON.stringify({
      ...Object.fromEntries(nonEmpty),
      invented: invented ?? false,
      safety: { ...safetyAnswers(tree), ...safety },
      facts: facts ?? {},
      probes: placed.sort((a, b) => (`${a.logger}/${a.key}` < `${b.logger}/${b.key}` ? -1 : 1)),
      stations: stations.map(({ file: _, answers: __, ...station }) => station),
    }),
  )
}
