/**
 * What the watches would have raised over every house folder below a folder, blind to its truth, and over the real houses
 * of a folder of public data:
 *
 *     npx tsx tests/cases/replay.ts [DIR] [--only 03,05] [--real DATA]
 */
import { existsSync, readdirSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { importFile } from '../../server/ingest/import.ts'
import { createIntake } from '../../server/ingest/intake.ts'
import { findHouse } from '../../server/store/houses.ts'
import { refreshHourly } from '../../server/store/refreshHourly.ts'
import { storeHouse } from '../../server/store/storeHouse.ts'
import { type Replayed, replayHouse } from '../../server/watch/replay.ts'
import { type RealHouse, realHouses } from './realHouses.ts'
import { bringIn, withScratchDatabase } from './runHouse.ts'

const WHOLE = { from: null, to: null }
/** What the importer would ask about these files: one attic gets warm enough for °F to be thought of. */
const ANSWERS = { columnUnits: { T: '°C' } }

export const replayCase = (folder: string): Promise<Replayed> =>
  withScratchDatabase(async (db) => {
    const { found } = await bringIn(db, folder)
    return (await replayHouse(db, (await findHouse(db, found.tree.key))!, WHOLE))!
  })

export const replayReal = ({ tree, files }: RealHouse): Promise<Replayed> =>
  withScratchDatabase(async (db) => {
    const now = Date.now
    const deps = { db, intake: createIntake(db, { now }), now }
    const { houseId, probes } = await storeHouse(db, tree, { replace: false, now: now(), who: 'cases' })
    for (const { path, logger } of files) {
      const probe = probes.find((one) => one.logger === logger)!.id
      const answers = path.includes('fmi') ? {} : ANSWERS
      await importFile(deps, { path, houseId, probes: { '*': probe }, answers })
    }
    await refreshHourly(db)
    return (await replayHouse(db, (await findHouse(db, tree.key))!, WHOLE))!
  })

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const options = { only: { type: 'string' }, real: { type: 'string' } } as const
  const { values, positionals } = parseArgs({ options, allowPositionals: true })
  const chosen = (name: string) =>
    values.only === undefined || values.only.split(',').some((start) => name.startsWith(start))
  const tell = (replayed: Replayed) => process.stdout.write(`${JSON.stringify(replayed)}\n`)
  for (const folder of positionals) {
    const names = readdirSync(folder).filter((name) => existsSync(join(folder, name, 'house.json')) && chosen(name))
    for (const name of names) tell(await replayCase(join(folder, name)))
  }
  const real = values.real === undefined ? [] : realHouses(values.real)
  for (const house of real) if (chosen(house.tree.key)) tell(await replayReal(house))
}
