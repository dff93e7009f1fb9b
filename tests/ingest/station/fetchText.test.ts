/** Fetching from a real server on this machine. */
import { gzipSync } from 'node:zlib'
import { expect, test } from 'vitest'
import { type FetchLimits, FetchRefused, fetchText } from '../../../server/ingest/station/fetchText.ts'
import { weatherServer } from '../../support/weatherServer.ts'

const refusal = async (url: string, limits: Partial<FetchLimits> = {}): Promise<string> => {
  const error = await fetchText({ url }, limits).then(
    () => null,
    (caught: unknown) => caught,
  )
  expect(error).toBeInstanceOf(FetchRefused)
  return (error as Error).message
}

test('text comes with its tag, and with that tag it is not sent again', async () => {
  const server = await weatherServer((request, response) => {
    if (request.headers['if-none-match'] === '"v1"') response.writeHead(304).end()
    else response.writeHead(200, { etag: '"v1"' }).end('a,b\n1,2\n')
  })
  const first = await fetchText({ url: `${server.origin}/x.csv?key=secret` })
  expect(first).toEqual({ state: 'text', bytes: Buffer.from('a,b\n1,2\n'), tag: '"v1"', name: '127.0.0.1.csv' })
  expect(await fetchText({ url: `${server.origin}/x.csv`, tag: '"v1"' })).toEqual({ state: 'unchanged' })
})

test('gzip is unpacked; a bomb is stopped while it unpacks, and so is one that unpacks to nothing', async () => {
  const emptyBlock = Buffer.from([0x00, 0x00, 0x00, 0xff, 0xff]) // a stored block of no bytes, not the last one
  const bodies: Record<string, Buffer> = {
    '/fine': gzipSync('a,b\n1,2\n'),
    '/bomb': gzipSync(Buffer.alloc(8 * 1024 * 1024)),
    '/nothing': Buffer.concat([gzipSync('').subarray(0, 10), ...Array.from({ length: 300_000 }, () => emptyBlock)]),
    '/cut': gzipSync('a,b\n'.repeat(1000)).subarray(0, 30),
  }
  const server = await weatherServer((request, response) => {
    response.writeHead(200, { 'content-encoding': 'gzip' }).end(bodies[request.url!])
  })
  const maxBytes = 1024 * 1024
  expect(await fetchText({ url: `${server.origin}/fine` }, { maxBytes })).toMatchObject({
    bytes: Buffer.from('a,b\n1,2\n'),
  })
  expect(bodies['/bomb']!.length).toBeLessThan(10_000)
  expect(await refusal(`${server.origin}/bomb`, { maxBytes })).toContain('more than 1 MB')
  expect(await refusal(`${server.origin}/nothing`, { maxBytes })).toContain('more than 1 MB')
  expect(await refusal(`${server.origin}/cut`, { maxBytes })).toContain('cannot be unpacked')
})

test('more than the limit is stopped while it streams, whether its length is told or not', async () => {
  let sent = 0
  const server = await weatherServer((request, response) => {
    if (request.url === '/told') {
      response.writeHead(200, { 'content-length': '30000000' }).write('x')
      return
    }
    const more = () => {
      if (response.destroyed) return
      sent += 65_536
      if (response.write(Buffer.alloc(65_536))) setImmediate(more)
      else response.once('drain', more)
    }
    more()
  })
  const maxBytes = 1024 * 1024
  expect(await refusal(`${server.origin}/told`)).toContain('more than 20 MB')
  expect(await refusal(`${server.origin}/endless`, { maxBytes })).toContain('Ask for a shorter span')
  expect(sent).toBeGreaterThan(maxBytes / 2)
})

test('three redirects are followed, a fourth is not', async () => {
  const server = await weatherServer((request, response) => {
    const left = Number(request.url!.slice(1))
    if (left === 0) response.end('a\n')
    else response.writeHead(302, { location: `/${left - 1}` }).end()
  })
  expect(await fetchText({ url: `${server.origin}/3` })).toMatchObject({ state: 'text' })
  expect(await refusal(`${server.origin}/4`)).toContain('more than 3 times')
})

test.each([
  ['http://10.0.0.8/x', 'anyone on the way could read it'],
  ['http://169.254.169.254/latest', 'anyone on the way could read it'],
  ['https://10.0.0.8/x', 'private network'],
  ['https://127.0.0.1/x', 'private network'],
  ['https://[::ffff:10.0.0.8]/x', 'private network'],
  ['https://2130706433/x', 'private network'],
  ['file:///etc/passwd', 'only https:// is asked'],
])('a redirect to %s is not followed', async (location, why) => {
  const server = await weatherServer((_, response) => void response.writeHead(302, { location }).end())
  expect(await refusal(server.origin)).toContain(why)
})

test.each([
  [['10.0.0.1'], 'private'],
  [['93.184.216.34', '192.168.1.1'], 'private'],
  [['::1'], 'private'],
  [['fe80::1'], 'private'],
  [['::ffff:93.184.216.34'], 'private'],
  [[], 'private'],
])('a name that leads to %j is not asked', async (addresses, why) => {
  expect(await refusal('https://weather.example/x', { resolve: async () => addresses })).toContain(why)
})

test('the address that was judged is the one connected to: the name is looked up once', async () => {
  let looks = 0
  const server = await weatherServer((_, response) => void response.end('a\n'))
  const url = server.origin.replace('127.0.0.1', 'localhost')
  const resolve = async () => (looks++ === 0 ? ['127.0.0.1'] : ['10.0.0.1'])
  expect(await fetchText({ url }, { resolve })).toMatchObject({ state: 'text' })
  expect(looks).toBe(1)
  expect(server.asked[0]!.headers.host).toContain('localhost:')
  expect(await refusal(url, { resolve: async () => ['93.184.216.34'] })).toContain('private network')
})

test('slow answers and slow names end in time', async () => {
  const server = await weatherServer((_, response) => void response.writeHead(200).write('a,b\n'))
  const began = Date.now()
  expect(await refusal(server.origin, { timeoutMs: 150 })).toContain('took longer than 0.15 s')
  const never = () => new Promise<string[]>(() => {})
  expect(await refusal('https://weather.example', { timeoutMs: 150, resolve: never })).toContain('took longer')
  expect(Date.now() - began).toBeLessThan(5000)
})

test('every other answer is a sentence without the secrets of the address', async () => {
  const server = await weatherServer((request, response) => {
    const status = Number(/\d+/.exec(request.url!)![0])
    response.writeHead(status, { 'content-type': status === 200 ? 'text/html; charset=utf-8' : 'text/plain' }).end('no')
  })
  for (const [status, why] of [
    [200, 'a web page'],
    [401, 'does not accept the key'],
    [404, 'nothing at this address'],
    [429, 'too often'],
    [503, 'fault of its own'],
    [206, 'no table came'],
  ] as const) {
    const said = await refusal(`${server.origin}/${status}?key=hush`)
    expect(said).toContain(why)
    expect(said).not.toContain('hush')
  }
  const brotli = await weatherServer(
    (_, response) => void response.writeHead(200, { 'content-encoding': 'br' }).end('x'),
  )
  expect(await refusal(brotli.origin)).toContain('only gzip')
  const broken = await weatherServer((_, response) => {
    response.writeHead(200, { 'content-length': '100' }).write('a')
    setTimeout(() => response.destroy(), 20)
  })
  expect(await refusal(broken.origin)).toContain('broke off')
  expect(await refusal('http://127.0.0.1:1/x?key=hush')).toContain('cannot be reached')
})

test('an asker who gives up is told so as it is', async () => {
  const server = await weatherServer(() => {})
  const stop = new AbortController()
  setTimeout(() => stop.abort(new Error('stopping')), 30)
  await expect(fetchText({ url: server.origin, signal: stop.signal })).rejects.not.toBeInstanceOf(FetchRefused)
})
