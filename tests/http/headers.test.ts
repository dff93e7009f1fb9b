/** What a browser is told on every answer: a page, an asset, an answer to a program, an error, a stream. */
import { mkdirSync, writeFileSync } from 'node:fs'
import { createConnection } from 'node:net'
import { join } from 'node:path'
import { expect, onTestFinished, test } from 'vitest'
import { type AppDeps, buildApp } from '../../server/http/app.ts'
import { scratchFolder } from '../support/database.ts'
import { scratchService } from '../support/service.ts'

const ALWAYS = {
  'x-content-type-options': 'nosniff',
  'x-frame-options': 'DENY',
  'referrer-policy': 'no-referrer',
  'cross-origin-opener-policy': 'same-origin',
  'cross-origin-resource-policy': 'same-origin',
  'permissions-policy': 'camera=(self), microphone=(), geolocation=(), payment=(), usb=()',
}

const ENROLLED = { probes: ['air'], hasRadio: true, intervalS: 300 }

async function pagesApp() {
  const folder = scratchFolder()
  mkdirSync(join(folder, 'assets'))
  writeFileSync(join(folder, 'index.html'), '<!doctype html><title>Pages</title>')
  writeFileSync(join(folder, 'assets/app-1a2b.js'), 'void 0')
  const deps = {
    door: { kind: 'open on this machine' },
    reach: async () => undefined,
    imports: {},
    intake: {},
    findings: async () => undefined,
    health: async () => [],
    pagesFolder: folder,
  }
  const app = await buildApp(deps as unknown as AppDeps)
  onTestFinished(() => app.close())
  return app
}

test('every answer forbids framing, guessing of types and telling where one came from', async () => {
  const app = await pagesApp()
  const asked = [
    ['a page', '/houses/maple', 200, 'no-cache', "default-src 'self'"],
    ['an asset', '/assets/app-1a2b.js', 200, 'public, max-age=31536000, immutable', "default-src 'none'"],
    ['a lost asset', '/assets/lost.js', 404, 'no-store', "default-src 'none'"],
    ['an answer with a tag', '/healthz', 200, 'private, no-cache', "default-src 'none'"],
    ['no such address', '/api/nothing', 404, 'no-store', "default-src 'none'"],
    ['an address that is none', '/api/%E0%A4%A', 400, 'no-store', "default-src 'none'"],
    ['a name too long', `/api/imports/${'1'.repeat(101)}`, 404, 'no-store', "default-src 'none'"],
    ['the page of addresses', '/api/docs/', 200, 'private, no-cache', "default-src 'self'"],
  ] as const
  for (const [what, url, status, kept, policy] of asked) {
    const { statusCode, headers } = await app.inject(url)
    expect([statusCode, headers['cache-control']], what).toEqual([status, kept])
    expect(headers, what).toMatchObject(ALWAYS)
    const csp = String(headers['content-security-policy'])
    expect(csp.startsWith(policy) && csp.includes("frame-ancestors 'none'"), `${what}: ${csp}`).toBe(true)
    expect(csp, what).not.toMatch(/script-src|unsafe-eval|https?:/)
    for (const name of ['server', 'x-powered-by', 'strict-transport-security'])
      expect(headers, what).not.toHaveProperty(name)
  }
  const stranger = await app.inject({ url: '/houses/maple', headers: { host: 'pages.example' } })
  expect([stranger.statusCode, stranger.headers['x-frame-options']]).toEqual([403, 'DENY'])
})

test('an answer that changed nothing and one with nothing in it are guarded too', async () => {
  const { app } = await scratchService(() => Date.UTC(2026, 5, 1))
  const first = await app.inject('/api/stations')
  const again = await app.inject({ url: '/api/round', headers: { 'if-none-match': '"nothing"' } })
  const same = await app.inject({ url: '/api/round', headers: { 'if-none-match': String(again.headers.etag) } })
  expect([same.statusCode, same.headers['cache-control']]).toEqual([304, 'private, no-cache'])
  for (const { headers } of [first, same]) expect(headers).toMatchObject(ALWAYS)
  const stored = await app.inject({ method: 'POST', url: '/api/loggers', payload: ENROLLED })
  expect([stored.statusCode, stored.headers['cache-control']]).toEqual([201, 'no-store'])
})

test('the live stream and a request that is none are guarded over a real socket', async () => {
  const { app } = await scratchService()
  const address = new URL(await app.listen({ host: '127.0.0.1', port: 0 }))
  const live = await fetch(new URL('/api/live', address))
  expect(live.headers.get('x-content-type-options')).toBe('nosniff')
  await live.body!.cancel()
  const answer = await new Promise<string>((resolve) => {
    const socket = createConnection(Number(address.port), '127.0.0.1', () => socket.write('GRUESS GOTT\r\n\r\n'))
    let text = ''
    socket.on('data', (chunk) => (text += chunk)).on('close', () => resolve(text))
  })
  expect(answer).toMatch(/^HTTP\/1\.1 400 /)
  expect(answer).toContain('x-frame-options: DENY')
  expect(JSON.parse(answer.split('\r\n\r\n')[1]!)).toMatchObject({ code: 'BAD_REQUEST' })
})
