import { randomBytes } from 'node:crypto'
import type { HouseAnswer } from '../../http/contract/house.ts'
import type { EnrolledAnswer, IntakeAnswer } from '../../http/contract/loggers.ts'
import { type Arguments, type Command, EXIT, InputRefused, UsageError } from '../command.ts'
import { FAULTS, type Fault } from '../simulate/inventedLogger.ts'
import { simulateLoggers } from '../simulate/simulateLoggers.ts'
import { DEFAULT_PORT } from './serve.ts'

const MOST_LOGGERS = 48

export const simulate: Command = {
  name: 'simulate',
  usage: '[--loggers N] [--house KEY] [--faults LIST]',
  about:
    'Lets invented loggers send over real MQTT to a service that runs, in real time or sped up, with faults on request. They hang in an invented house only, or nowhere.',
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

    const { broker } = await ask<IntakeAnswer>(service, '/api/intake')
    if (broker.kind !== 'own') {
      throw new InputRefused(
        'The service has no broker of its own, and only there can loggers be let in by themselves. Start it without MQTT_URL and with MQTT_PORT.',
      )
    }
    const house = args.option('house')
    const { enrolled } = await enroll(service, { count, everyS, house: house ?? null })
    const loggers = enrolled.map(({ logger, secret }) => ({ key: logger.key, secret: secret! }))
    context.out(`${loggers.map(({ key }) => key).join(', ')} send to ${broker.address}. Ctrl+C ends it.\n`)
    const result = await simulateLoggers(
      { broker: broker.address, loggers, run: randomBytes(3).toString('hex'), faults },
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

/** Enrolled, and hung at the spots of the house one after the other. */
export async function enroll(
  service: string,
  { count, everyS, house }: { count: number; everyS: number; house: string | null },
): Promise<EnrolledAnswer> {
  const tree =
    house === null ? null : (await ask<HouseAnswer>(service, `/api/houses/${encodeURIComponent(house)}`)).house
  if (tree !== null && !tree.invented) {
    throw new InputRefused(`"${house}" is not an invented house: readings of invented loggers would spoil its record.`)
  }
  const spaces = tree?.spaces.filter(({ role }) => role !== 'outdoor' && role !== 'living') ?? []
  const spots = spaces.flatMap((space) => space.spots.map((spot) => `${space.key}/${spot.key}`))
  const answer = await ask<EnrolledAnswer>(service, '/api/loggers', {
    count,
    name: 'Invented logger',
    probes: ['air'],
    hasRadio: true,
    intervalS: Math.max(10, Math.round(everyS)),
    ...(house !== null && { house }),
  })
  for (const [i, { logger }] of answer.enrolled.entries()) {
    const spot = spots[i % spots.length]
    if (spot === undefined) break
    await ask(service, `/api/loggers/${logger.key}/place`, { house, probes: [{ probe: 'air', spot }] })
  }
  return answer
}

async function ask<T>(service: string, path: string, body?: object): Promise<T> {
  let response: Response
  try {
    response = await fetch(service + path, {
      ...(body && { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) }),
    })
  } catch {
    throw new InputRefused(`No service answers at ${service}. Start it with npm start, or name it with --service.`)
  }
  const answer = (await response.json()) as { message?: string; hint?: string }
  if (!response.ok) throw new InputRefused(`${answer.message} ${answer.hint ?? ''}`.trim())
  return answer as T
}
