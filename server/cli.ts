#!/usr/bin/env node
/** The command line's door: finds the command, runs it, and turns what went wrong into a sentence and an exit code. */
import { userInfo } from 'node:os'
import { type Command, type Context, EXIT, type ExitCode, helpOf, parseArguments, UsageError } from './cli/command.ts'
import { backup } from './cli/commands/backup.ts'
import { balance } from './cli/commands/balance.ts'
import { check } from './cli/commands/check.ts'
import { demo } from './cli/commands/demo.ts'
import { exportHouse } from './cli/commands/exportHouse.ts'
import { findings } from './cli/commands/findings.ts'
import { houses } from './cli/commands/houses.ts'
import { importFile } from './cli/commands/importFile.ts'
import { load } from './cli/commands/load.ts'
import { person } from './cli/commands/person.ts'
import { replay } from './cli/commands/replay.ts'
import { restore } from './cli/commands/restore.ts'
import { serve } from './cli/commands/serve.ts'
import { simulate } from './cli/commands/simulate.ts'
import { whatif } from './cli/commands/whatif.ts'
import { readSetting } from './cli/readSetting.ts'

const COMMANDS: readonly Command[] = [
  demo,
  load,
  exportHouse,
  importFile,
  houses,
  findings,
  balance,
  whatif,
  replay,
  check,
  backup,
  restore,
  serve,
  person,
  simulate,
]

/** Errors whose message is written for people; anything else is a fault of the program and shows where it happened. */
const REFUSALS = [
  'InputRefused',
  'ImportRefused',
  'FolderRefused',
  'ExportRefused',
  'HouseRefused',
  'PhotoRefused',
  'DatabaseRefused',
  'AddressRefused',
  'SettingRefused',
  'BrokerRefused',
  'BackupRefused',
  'StoreError',
  'PeopleError',
]

const COMMON_OPTIONS = {
  db: { type: 'string', value: 'FILE', about: 'the database (UNDERJOIST_DB, else data/underjoist.db)' },
  json: { type: 'boolean', about: 'answer in JSON' },
  help: { type: 'boolean', about: 'show this' },
} as const

async function run(argv: string[]): Promise<ExitCode> {
  const [name, ...rest] = argv
  if (name === undefined || name === '--help' || name === 'help') {
    process.stdout.write(overview())
    return name === undefined ? EXIT.notUnderstood : EXIT.done
  }
  const found = COMMANDS.find((command) => command.name === name)
  if (!found) {
    process.stderr.write(`There is no command "${name}". There are: ${COMMANDS.map((c) => c.name).join(', ')}.\n`)
    return EXIT.notUnderstood
  }
  const command = { ...found, options: { ...found.options, ...COMMON_OPTIONS } }
  try {
    const args = parseArguments(command, rest)
    if (args.flag('help')) {
      process.stdout.write(helpOf(command))
      return EXIT.done
    }
    const stop = new AbortController()
    for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => stop.abort())
    const context: Context = {
      out: (text) => void process.stdout.write(text),
      err: (text) => void process.stderr.write(text),
      terminal: process.stderr.isTTY === true,
      databasePath: args.option('db') ?? readSetting(process.env, 'UNDERJOIST_DB'),
      json: args.flag('json'),
      now: Date.now,
      who: userInfo().username,
      signal: stop.signal,
    }
    return await command.run(args, context)
  } catch (error) {
    return explain(error as Error, command)
  }
}

function explain(error: Error, command: Command): ExitCode {
  if (error instanceof UsageError) {
    process.stderr.write(`${error.message}\n\n${helpOf(command)}`)
    return EXIT.notUnderstood
  }
  if (REFUSALS.includes(error.name)) {
    const hint = (error as { hint?: string }).hint
    process.stderr.write(`${error.message}${hint ? ` ${hint}` : ''}\n`)
    return EXIT.refused
  }
  process.stderr.write(`${error.stack ?? error.message}\n`)
  return EXIT.broke
}

const overview = (): string =>
  [
    'Underjoist tells where the water under a house comes from, which remedy it needs, and whether the work dried it.',
    '',
    'underjoist COMMAND [--db FILE] [--json]',
    '',
    ...COMMANDS.map((command) => `  ${command.name.padEnd(10)} ${command.about.split(/(?<=[.:])\s/)[0]}`),
    '',
    'underjoist COMMAND --help shows its options and examples.',
    '',
  ].join('\n')

process.exitCode = await run(process.argv.slice(2))
