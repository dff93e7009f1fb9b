/** The whole service as a program of its own, with its broker on a free port, to be met over TCP and to be killed. */
import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { fileURLToPath } from 'node:url'
import { connectAsync, type IClientOptions, type MqttClient } from 'mqtt'
import { onTestFinished } from 'vitest'
import { createPeopleDesk } from '../../server/people/createPeopleDesk.ts'
import type { Caller } from '../../server/people/types.ts'
import { openDatabase } from '../../server/store/open.ts'
import type { Enrolled } from './enroll.ts'

const CLI = fileURLToPath(new URL('../../server/cli.ts', import.meta.url))
const LOADER = import.meta.resolve?.('tsx') ?? 'tsx'

export interface LiveService {
  /** Such as http://127.0.0.1:39001 */
  http: string
  /** Such as mqtt://127.0.0.1:39002 */
  mqtt: string
  /** Of a contractor, good for everything. */
  token: string
  /** Asks it as that contractor. */
  ask(path: string, init?: RequestInit): Promise<Response>
  /** Resolves when the program is gone, with its exit code; null when a signal ended it. */
  end(signal: 'SIGTERM' | 'SIGKILL'): Promise<number | null>
}

/** @param env settings such as MQTT_PORT; by default our own broker listens on a free port */
export async function startLiveService(
  databasePath: string,
  env: Record<string, string> = { MQTT_PORT: '0' },
): Promise<LiveService> {
  const token = await tokenOf(databasePath)
  const program = spawn(
    process.execPath,
    ['--import', LOADER, CLI, 'serve', '--port', '0', '--json', '--db', databasePath],
    { stdio: ['ignore', 'pipe', 'pipe'], env: { ...process.env, ...env } },
  )
  let errors = ''
  program.stderr.on('data', (chunk) => (errors += chunk))
  const gone = once(program, 'close')
  const line = once(program.stdout, 'data').then(([data]) => String(data))
  const said = await Promise.race([line, gone.then(() => Promise.reject(new Error(`The service ended: ${errors}`)))])
  const { address, loggers: mqtt } = JSON.parse(said) as { address: string; loggers: string }
  async function end(signal: 'SIGTERM' | 'SIGKILL') {
    program.kill(signal)
    const [code] = (await gone) as [number | null]
    return code
  }
  onTestFinished(async () => void (await end('SIGKILL')))
  const ask = (path: string, init: RequestInit = {}) =>
    fetch(address + path, { ...init, headers: { ...init.headers, authorization: `Bearer ${token}` } })
  return { http: address, mqtt, token, ask, end }
}

const CONTRACTOR = { name: 'Con Tractor', email: 'contractor@example.com', role: 'contractor' as const, houses: [] }

/** A token of the contractor of that database, who is added where there is none. */
export async function tokenOf(databasePath: string): Promise<string> {
  const db = openDatabase(databasePath)
  try {
    const desk = createPeopleDesk({ db, now: Date.now, publicUrl: 'http://127.0.0.1' })
    const { email } = CONTRACTOR
    const there = (await desk.people()).find((person) => person.email === email)
    const { id: personId } = there ?? (await desk.addPerson(CONTRACTOR, 'the command line')).person
    const caller: Caller = { ...CONTRACTOR, personId, houses: 'all', via: 'password', scope: 'write', sessionId: null }
    return (await desk.addToken(caller, { name: 'a test', scope: 'write', days: 1 })).token
  } finally {
    db.close()
  }
}

/** Connects as that logger and is gone when the test has ended. */
export async function connectLogger(
  url: string,
  { key, secret }: Pick<Enrolled, 'key' | 'secret'>,
  options: IClientOptions = {},
): Promise<MqttClient> {
  const client = await connectAsync(url, {
    clientId: key,
    username: key,
    password: secret,
    protocolVersion: 4,
    reconnectPeriod: 0,
    ...options,
  })
  client.on('error', () => {})
  onTestFinished(() => void client.end(true))
  return client
}
