import { randomBytes } from 'node:crypto'
import { type Arguments, type Command, EXIT, UsageError } from '../command.ts'
import { DEFAULT_PORT } from '../environment.ts'
import { readSetting } from '../readSetting.ts'
import { enrollInvented, serviceAt } from '../simulate/enrollInvented.ts'
import { FAULTS, type Fault } from '../simulate/inventedLogger.ts'
import { simulateLoggers } from '../simulate/simulateLoggers.ts'

const MOST_LOGGERS = 48

export const simulate: Command = {
  name: 'simulate',
  usage: '[--loggers N] [--house KEY] [--faults LIST]',
  about:
    'Lets invented loggers send over real MQTT to a service that runs, in real time or sped up, with faults on request. They hang in an invented house only, or nowhere. UNDERJOIST_TOKEN is the token that lets it in.',
  examples: [
    'simulate',
    'simulate --house demo-fernhollow --loggers 4 --every 5',
    'simulate --days 7 --speed 2000 --faults duplicates,out-of-order,malformed',
    'simulate --days 7 --speed 2000 --faults backlog',
  ],
  options: {
    service: { type: 'string', value: 'URL', about: `the service (http://127.0.0.1:${DEFAULT_PORT})` },
    house: { type: 'string', value: 'KEY', about: 'an invented house to hang them in' },
    loggers: { type: 'string', value: 'N', about: 'how many (1)' },
    every: { type: 'string', value: 'SECONDS', about: 'between two readings (10; with --days 300)' },
    days: { type: 'string', value: 'DAYS', about: 'send readings of the last days up to now, then end' },
    speed: { type: 'string', value: 'TIMES', about: 'with --days: how much faster than real time (1000)' },
    faults: { type: 'string', value: 'LIST', about: `${FAULTS.join(', ')}` },
  },
  async run(args, context) {
    const service = args.option('service') ?? `http://127.0.0.1:${DEFAULT_PORT}`
    const count = whole(args, 'loggers', 1, MOST_LOGGERS)
    const days = args.option('days') === undefined ? null : positive(args, 'days', 1)
    const everyS = positive(args, 'every', days === null ? 10 : 300)
    const speed = positive(args, 'speed', 1000)
    if (days === null && args.option('speed') !== undefined) throw new UsageError('--speed goes with --days.')
    const faults = faultsOf(args.option('faults'))

    const crew = await enrollInvented(serviceAt(service, readSetting(process.env, 'UNDERJOIST_TOKEN')), {
      count,
      everyS,
      house: args.option('house') ?? null,
    })
    context.out(`${crew.loggers.map(({ key }) => key).join(', ')} send to ${crew.broker}. Ctrl+C ends it.\n`)
    const result = await simulateLoggers(
      { ...crew, run: randomBytes(3).toString('hex'), faults },
      days === null ? { kind: 'real time', everyS } : { kind: 'past', days, everyS, speed, now: context.now() },
      { signal: context.signal, onProblem: (sentence) => context.err(`${sentence}\n`) },
    )
    context.out(
      context.json
        ? `${JSON.stringify(result)}\n`
        : `${result.readings} readings, ${result.sent} messages sent, ${result.kept} not confirmed by a receipt.\n`,
    )
    return result.kept === 0 || faults.has('silent') ? EXIT.done : EXIT.broke
  },
}

const positive = (args: Arguments, name: string, otherwise: number): number => {
  const number = Number(args.option(name) ?? otherwise)
  if (!(number > 0 && number <= 1e6))
    throw new UsageError(`--${name} takes a number above 0, not "${args.option(name)}".`)
  return number
}

function whole(args: Arguments, name: string, otherwise: number, most: number): number {
  const number = Number(args.option(name) ?? otherwise)
  if (!Number.isInteger(number) || number < 1 || number > most) {
    throw new UsageError(`--${name} takes a whole number from 1 to ${most}, not "${args.option(name)}".`)
  }
  return number
}

function faultsOf(text: string | undefined): ReadonlySet<Fault> {
  const named = (text ?? '').split(',').filter((name) => name !== '')
  const unknown = named.find((name) => !FAULTS.includes(name as Fault))
  if (unknown !== undefined) throw new UsageError(`--faults knows ${FAULTS.join(', ')}, not "${unknown}".`)
  return new Set(named as Fault[])
}
