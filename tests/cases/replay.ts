/**
 * What the watches would have raised over every house folder below a folder, blind to its truth:
 *
 *     npx tsx tests/cases/replay.ts DIR [--only 03,05]
 */
import { existsSync, readdirSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { findHouse } from '../../server/store/houses.ts'
import { type Replayed, replayHouse } from '../../server/watch/replay.ts'
import { bringIn, withScratchDatabase } from './runHouse.ts'

export const replayCase = (folder: string): Promise<Replayed> =>
  withScratchDatabase(async (db) => {
    const { found } = await bringIn(db, folder)
    return (await replayHouse(db, (await findHouse(db, found.tree.key))!, { from: null, to: null }))!
  })

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const { values, positionals } = parseArgs({ options: { only: { type: 'string' } }, allowPositionals: true })
  const folder = positionals[0]!
  const names = readdirSync(folder)
    .filter((name) => existsSync(join(folder, name, 'house.json')))
    .filter((name) => values.only === undefined || values.only.split(',').some((start) => name.startsWith(start)))
  for (const name of names) process.stdout.write(`${JSON.stringify(await replayCase(join(folder, name)))}\n`)
}
