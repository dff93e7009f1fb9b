/** Live over a real socket: all at first, then what changed; kept alive, let go, and no hindrance when the service ends. */
import { get, type IncomingMessage } from 'node:http'
import type { AddressInfo } from 'node:net'
import { afterEach, expect, onTestFinished, test, vi } from 'vitest'
import type { ServiceParts } from '../../server/cli/runService.ts'
import type { LiveEvent } from '../../server/http/contract/loggers.ts'
import { createLiveStreams, type LiveSources, MOST_STREAMS } from '../../server/http/liveStreams.ts'
import { NO_BROKER } from '../../server/ingest/mqtt/liveIntake.ts'
import { connectLogger } from '../support/liveService.ts'
import { scratchService } from '../support/service.ts'

afterEach(() => {
  vi.useRealTimers()
})

const ALL = () => true

interface Watcher {
  response: IncomingMessage
  events: { event: string; data: LiveEvent['data']; at: number }[]
  text: () => string
  ended: Promise<void>
}

async function watch({ app }: ServiceParts): Promise<Watcher> {
  const { port } = app.server.address() as AddressInfo
  const headers = { 'accept-encoding': 'gzip, br' }
  const response = await new Promise<IncomingMessage>((resolve, reject) => {
    get({ host: '127.0.0.1', port, path: '/api/live', headers }, resolve).on('error', reject)
  })
  let text = ''
  const watcher: Watcher = { response, events: [], text: () => text, ended: Promise.resolve() }
  let read = 0
  response.setEncoding('utf8').on('data', (chunk: string) => {
    text += chunk
    for (let end = text.indexOf('\n\n', read); end >= 0; end = text.indexOf('\n\n', read)) {
      const [, event, data] = /^event: (.*)\ndata: (.*)$/.exec(text.slice(read, end)) ?? []
      if (event !== undefined) watcher.events.push({ event, data: JSON.parse(data!), at: performance.now() })
      read = end + 2
    }
  })
  watcher.ended = new Promise((resolve) => response.on('close', resolve))
  onTestFinished(() => void response.destroy())
  return watcher
}

async function listening(): Promise<ServiceParts> {
  const parts = await scratchService()
  await parts.app.listen({ host: '127.0.0.1', port: 0 })
  return parts
}

const enroll = async ({ app }: ServiceParts, key: string): Promise<string> => {
  const payload = { key, probes: ['air'], hasRadio: true, intervalS: 300 }
  return (await app.inject({ method: 'POST', url: '/api/loggers', payload })).json().enrolled[0].secret
}

const loggersIn = ({ data }: Watcher['events'][number]) => ('loggers' in data ? data.loggers : [])

test('all loggers and the intake come first; a reading over MQTT is told with its logger alone, once a second at most', async () => {
  const parts = await listening()
  const secret = await enroll(parts, 'lg-1')
  await enroll(parts, 'lg-2')
  const watcher = await watch(parts)
  expect(watcher.response.headers).toMatchObject({ 'content-type': 'text/event-stream; charset=utf-8' })
  expect(watcher.response.headers).not.toHaveProperty('content-encoding')
  await expect.poll(() => watcher.events.map(({ event }) => event)).toEqual(['loggers', 'intake'])
  expect(watcher.text()).toMatch(/^retry: 3000\n\n/)
  expect(loggersIn(watcher.events[0]!).map(({ key, standing }) => [key, standing])).toEqual([
    ['lg-1', 'waiting'],
    ['lg-2', 'waiting'],
  ])

  await parts.startBroker({ kind: 'own', host: '127.0.0.1', port: 0 })
  const client = await connectLogger(parts.intake().broker.address, { key: 'lg-1', secret })
  const publish = (tempC: number) =>
    client.publishAsync('underjoist/lg-1/readings', JSON.stringify({ tempC, rhPct: 70 }), { qos: 1 })
  for (let i = 0; i < 30; i++) {
    await publish(20 + i / 100)
    await new Promise((resolve) => setTimeout(resolve, 80))
  }
  const told = () => watcher.events.slice(1).filter(({ event }) => event === 'loggers')
  await expect.poll(() => loggersIn(told().at(-1)!)[0]?.messages, { timeout: 5000 }).toBe(30)
  expect(told().length).toBeLessThanOrEqual(5) // in about 2.5 s
  for (const [i, { at }] of told().entries()) if (i > 0) expect(at - told()[i - 1]!.at).toBeGreaterThan(900)
  expect(
    told()
      .flatMap(loggersIn)
      .every(({ key, standing }) => key === 'lg-1' && standing === 'heard'),
  ).toBe(true)
  expect(loggersIn(told().at(-1)!)[0]!.probes[0]!.last).toMatchObject({ rhPct: 70, dewPointC: expect.any(Number) })
  const intakes = watcher.events.filter(({ event }) => event === 'intake')
  expect(intakes.at(-1)!.data).toMatchObject({ broker: { kind: 'own', state: 'listening', connections: 1 } })

  // Without its secret it is put out at once, and whoever looks sees that.
  const gone = new Promise<void>((resolve) => client.on('close', () => resolve()))
  await parts.app.inject({ method: 'DELETE', url: '/api/loggers/lg-1/secret' })
  await gone
  await expect.poll(() => loggersIn(told().at(-1)!)[0]?.hasSecret, { timeout: 5000 }).toBe(false)
})

test('the service ends at once although somebody looks, and their stream ends whole', async () => {
  const parts = await listening()
  const watchers = [await watch(parts), await watch(parts)]
  await expect.poll(() => watchers.every(({ events }) => events.length === 2)).toBe(true)
  const from = performance.now()
  await parts.app.close()
  await Promise.all(watchers.map(({ ended }) => ended))
  expect(performance.now() - from).toBeLessThan(2000)
  expect(watchers.map(({ response }) => response.complete)).toEqual([true, true])
})

test('the 51st is refused, and let in when another has gone', async () => {
  const parts = await listening()
  const watchers = await Promise.all(Array.from({ length: MOST_STREAMS }, () => watch(parts)))
  const refused = await watch(parts)
  await refused.ended
  expect([refused.response.statusCode, JSON.parse(refused.text()).code]).toEqual([503, 'TOO_MANY_STREAMS'])
  watchers[0]!.response.destroy()
  await expect.poll(async () => (await watch(parts)).response.statusCode).toBe(200)
})

test('every ten seconds there is a sign of life, and what time alone has changed is told then, and nothing twice', async () => {
  vi.useFakeTimers()
  let standing: 'heard' | 'late' = 'heard'
  const logger = () => ({ key: 'lg-1', standing }) as Awaited<ReturnType<LiveSources['loggers']>>[number]
  const intake = { broker: NO_BROKER, paused: null, waitingMessages: 0, silentHouses: [], notes: [] }
  const troubles: unknown[] = []
  let broken = false
  const streams = createLiveStreams({
    loggers: async () => {
      if (broken) throw new Error('locked')
      return [logger()]
    },
    intake: async () => intake,
    onTrouble: (error) => troubles.push(error),
  })
  let text = ''
  const taken = () => {
    const part = text
    text = ''
    return part
  }
  const stream = { write: (part: string) => void (text += part), end() {} }
  expect(streams.open(stream, ALL, async () => ALL)).toBe(true)
  await vi.advanceTimersByTimeAsync(0)
  expect(taken()).toContain('"standing":"heard"')
  await vi.advanceTimersByTimeAsync(10_000)
  expect(taken()).toBe(': still here\n\n')
  standing = 'late'
  await vi.advanceTimersByTimeAsync(10_000)
  expect(taken()).toMatch(/^: still here\n\nevent: loggers\ndata: .*"late".*\n\n$/)
  broken = true
  streams.heard(['lg-1'])
  await vi.advanceTimersByTimeAsync(1000)
  expect([taken(), troubles.length]).toEqual(['', 1])
  broken = false
  standing = 'heard'
  streams.heard(['lg-1'])
  await vi.advanceTimersByTimeAsync(1000)
  expect(taken()).toContain('"heard"')
  streams.leave(stream)
  expect(vi.getTimerCount()).toBe(0)
  streams.close()
  expect(streams.open(stream, ALL, async () => ALL)).toBe(false)
})
