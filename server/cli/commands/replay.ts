import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { loadHouseFolder } from '../../ingest/folder/loadHouse.ts'
import type { ImportDeps } from '../../ingest/import.ts'
import { instantOfLocalText } from '../../series/localTime.ts'
import { findHouse, listHouses } from '../../store/houses.ts'
import { refreshHourly } from '../../store/refreshHourly.ts'
import { type Replayed, replayHouse } from '../../watch/replay.ts'
import { tally } from '../../watch/replayTally.ts'
import { type Arguments, type Command, type Context, EXIT, InputRefused, UsageError } from '../command.ts'
import { withDatabase } from '../open.ts'
import { replayPage } from '../replayPage.ts'

export const replay: Command = {
  name: 'replay',
  usage: 'HOUSE [--from DATE] [--to DATE] | --all | --folder DIR',
  about:
    'What the watches would have raised over stored readings, to whom, and how long after it began. Nothing is stored and nobody is written to.',
  examples: ['replay maple-hollow --from 2024-06-01', 'replay --all --json', 'replay --folder demo-data/house'],
  options: {
    from: { type: 'string', value: 'DATE', about: "first day, by the house's clock (the first of the record)" },
    to: { type: 'string', value: 'DATE', about: 'day after the last (the end of the record)' },
    all: { type: 'boolean', about: 'every house' },
    folder: { type: 'string', value: 'DIR', about: 'a house folder, without touching the database' },
  },
  async run(args, context) {
    const folder = args.option('folder')
    const replays =
      folder === undefined
        ? await withDatabase(context, (deps) => replayStored(deps, args))
        : await replayFolder(folder, args, context)
    if (replays.length === 0)
      throw new InputRefused('There is nothing to replay: no house has readings of a spot in it.')
    const told = { houses: replays, tally: tally(replays) }
    context.out(context.json ? `${JSON.stringify(told, null, 2)}\n` : replayPage(told))
    return EXIT.done
  },
}

async function replayStored({ db }: ImportDeps, args: Arguments): Promise<Replayed[]> {
  if (args.flag('all') === args.words().length > 0) throw new UsageError('Name a house, or give --all.')
  const keys = args.flag('all') ? (await listHouses(db)).map(({ key }) => key) : [args.word(0, 'The house')]
  await refreshHourly(db)
  const replays: Replayed[] = []
  for (const key of keys) {
    const row = await findHouse(db, key)
    if (row === undefined) throw new InputRefused(`There is no house "${key}". \`underjoist houses\` lists them.`)
    const replayed = await replayHouse(db, row, spanOf(args, row.timeZone))
    if (replayed !== null) replays.push(replayed)
  }
  return replays
}

async function replayFolder(folder: string, args: Arguments, context: Context): Promise<Replayed[]> {
  const scratch = mkdtempSync(join(tmpdir(), 'underjoist-replay-'))
  try {
    return await withDatabase({ ...context, databasePath: join(scratch, 'replay.db') }, async (deps) => {
      const { key } = await loadHouseFolder(deps, folder, { who: context.who, signal: context.signal })
      await refreshHourly(deps.db)
      const row = (await findHouse(deps.db, key))!
      const replayed = await replayHouse(deps.db, row, spanOf(args, row.timeZone))
      return replayed === null ? [] : [replayed]
    })
  } finally {
    rmSync(scratch, { recursive: true, force: true })
  }
}

function spanOf(args: Arguments, timeZone: string): { from: number | null; to: number | null } {
  const instant = (name: 'from' | 'to') => {
    const text = args.option(name)
    if (text === undefined) return null
    try {
      return instantOfLocalText(text, timeZone)
    } catch (error) {
      throw new UsageError(`--${name}: ${(error as Error).message}`)
    }
  }
  const span = { from: instant('from'), to: instant('to') }
  if (span.from !== null && span.to !== null && span.to <= span.from)
    throw new UsageError('--to must lie after --from.')
  return span
}
