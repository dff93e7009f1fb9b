/** What every command of the command line shares: its shape, how it answers, and its exit codes. */
import { parseArgs } from 'node:util'

/** Documented in README.md; scripts rely on them. */
export const EXIT = { done: 0, broke: 1, notUnderstood: 2, refused: 3, question: 4, damaged: 5 } as const
export type ExitCode = (typeof EXIT)[keyof typeof EXIT]

/** Where a command writes to. `terminal` says whether a person watches: only then is progress shown. */
export interface Output {
  out(text: string): void
  err(text: string): void
  terminal: boolean
}

export interface Context extends Output {
  /** The database file: `--db`, else UNDERJOIST_DB, else data/underjoist.db in the current folder. */
  databasePath: string
  json: boolean
  now(): number
  /** The person at the keyboard, for the history. */
  who: string
  /** Aborted by Ctrl+C or SIGTERM: finish the batch at hand and say what was kept. */
  signal: AbortSignal
}

type Options = Record<string, { type: 'string' | 'boolean'; multiple?: boolean; about: string; value?: string }>

export interface Command {
  name: string
  /** The words after the name, such as `DIR`. */
  usage: string
  about: string
  examples: string[]
  options?: Options
  run(args: Arguments, context: Context): Promise<ExitCode>
}

/** The command line cannot be understood; shown with the command's usage. */
export class UsageError extends Error {
  override name = 'UsageError'
}

/** The input was refused; the message is a sentence for people. */
export class InputRefused extends Error {
  override name = 'InputRefused'
}

export class Arguments {
  readonly #words: string[]
  readonly #options: Record<string, unknown>

  constructor(words: string[], options: Record<string, unknown>) {
    this.#words = words
    this.#options = options
  }

  /** The word at a place, which must be there. */
  word(index: number, what: string): string {
    const word = this.#words[index]
    if (word === undefined) throw new UsageError(`${what} is missing.`)
    return word
  }

  words(): readonly string[] {
    return this.#words
  }

  option(name: string): string | undefined {
    const value = this.#options[name]
    return typeof value === 'string' ? value : undefined
  }

  options(name: string): string[] {
    const value = this.#options[name]
    return Array.isArray(value) ? value.map(String) : []
  }

  flag(name: string): boolean {
    return this.#options[name] === true
  }

  /** An option that takes one of a few words. */
  choice<T extends string>(name: string, choices: readonly T[], otherwise: T): T {
    const value = this.option(name)
    if (value === undefined) return otherwise
    if (!choices.includes(value as T)) throw new UsageError(`--${name} takes ${choices.join(' or ')}, not "${value}".`)
    return value as T
  }
}

/** @throws UsageError on an option the command does not have */
export function parseArguments(command: Command, argv: string[]): Arguments {
  try {
    const options = Object.fromEntries(
      Object.entries(command.options ?? {}).map(([name, { type, multiple }]) => [
        name,
        { type, multiple: multiple ?? false },
      ]),
    )
    const { values, positionals } = parseArgs({ args: argv, options, allowPositionals: true, strict: true })
    return new Arguments(positionals, values)
  } catch (error) {
    throw new UsageError((error as Error).message.replace(/\. To specify a positional argument.*$/s, '.'))
  }
}

export function helpOf(command: Command): string {
  const options = Object.entries(command.options ?? {}).map(([name, { type, about, value }]) => {
    const left = type === 'string' ? `--${name} ${value ?? 'VALUE'}` : `--${name}`
    return `  ${left.padEnd(24)} ${about}`
  })
  return [
    `underjoist ${command.name} ${command.usage}`.trim(),
    '',
    command.about,
    ...(options.length > 0 ? ['', ...options] : []),
    '',
    'Examples:',
    ...command.examples.map((example) => `  underjoist ${example}`),
    '',
  ].join('\n')
}
