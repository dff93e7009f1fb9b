/** A real Mosquitto on a free port, with a user and password, its memory in a folder of its own. */
import { type ChildProcess, execFileSync, spawn } from 'node:child_process'
import { once } from 'node:events'
import { existsSync, writeFileSync } from 'node:fs'
import { createServer } from 'node:net'
import { join } from 'node:path'
import { connectAsync } from 'mqtt'
import { onTestFinished } from 'vitest'
import { scratchFolder } from './database.ts'

const BINARY = ['/usr/sbin/mosquitto', '/usr/local/sbin/mosquitto', '/opt/homebrew/sbin/mosquitto'].find(existsSync)

export interface Mosquitto {
  port: number
  /** mqtt:// or mqtts:// with its port. */
  url: string
  start(): Promise<void>
  end(signal: 'SIGTERM' | 'SIGKILL'): Promise<void>
}

export const USER = { username: 'service', password: 'invented-pass' }

export interface MosquittoOptions {
  persistence: boolean
  /** PEM files for TLS. */
  tls?: { cert: string; key: string }
}

/** @throws Error where Mosquitto is missing: a test of it that does not run must not look like one that passed */
export async function startMosquitto({ persistence, tls }: MosquittoOptions): Promise<Mosquitto> {
  if (BINARY === undefined) {
    throw new Error('Mosquitto is not installed. Run: apt-get update && apt-get install -y mosquitto mosquitto-clients')
  }
  const folder = scratchFolder()
  const port = await freePort()
  const passwords = join(folder, 'passwords')
  execFileSync('mosquitto_passwd', ['-c', '-b', passwords, USER.username, USER.password])
  const config = [
    'user root',
    `listener ${port} 127.0.0.1`,
    'allow_anonymous false',
    `password_file ${passwords}`,
    `persistence ${persistence}`,
    ...(persistence ? [`persistence_location ${folder}/`, 'autosave_interval 0'] : []),
    'max_queued_messages 0',
    ...(tls ? [`certfile ${tls.cert}`, `keyfile ${tls.key}`] : []),
  ]
  writeFileSync(join(folder, 'm.conf'), `${config.join('\n')}\n`)
  let program: ChildProcess | undefined
  const broker: Mosquitto = {
    port,
    url: `${tls ? 'mqtts' : 'mqtt'}://127.0.0.1:${port}`,
    async start() {
      program = spawn(BINARY, ['-c', join(folder, 'm.conf')], { stdio: 'ignore' })
      await answering(broker.url)
    },
    async end(signal) {
      if (program === undefined || program.exitCode !== null) return
      const gone = once(program, 'close')
      program.kill(signal)
      await gone
      program = undefined
    },
  }
  onTestFinished(() => broker.end('SIGKILL'))
  await broker.start()
  return broker
}

async function answering(url: string): Promise<void> {
  for (let attempt = 0; ; attempt++) {
    try {
      const options = { ...USER, reconnectPeriod: 0, connectTimeout: 1000, rejectUnauthorized: false }
      await (await connectAsync(url, options)).endAsync()
      return
    } catch (error) {
      if (attempt === 60) throw error
      await new Promise((resolve) => setTimeout(resolve, 50))
    }
  }
}

export async function freePort(): Promise<number> {
  const server = createServer().listen(0, '127.0.0.1')
  await once(server, 'listening')
  const { port } = server.address() as { port: number }
  server.close()
  await once(server, 'close')
  return port
}
