/** What holds for every address: who may ask, how answers are packed, and how the built pages go out. */
import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, onTestFinished, test } from 'vitest'
import { buildApp } from '../../server/http/app.ts'
import { createIntake } from '../../server/ingest/intake.ts'
import { scratchDatabase, scratchFolder } from '../support/database.ts'

const NOTHING = { find: async () => null, lines: async () => [], receiptCsv: async function* () {} }

async function appOn(pagesFolder: string) {
  const app = await buildApp({
    door: { kind: 'open on this machine' },
    reach: async () => undefined,
    intake: createIntake(scratchDatabase(), { now: () => 0 }),
    imports: NOTHING,
    findings: async () => undefined,
    health: async () => [],
    pagesFolder,
  })
  onTestFinished(() => app.close())
  return app
}

function builtPages(): string {
  const folder = join(scratchFolder(), 'web')
  mkdirSync(join(folder, 'assets'), { recursive: true })
  writeFileSync(join(folder, 'index.html'), '<!doctype html><title>the page</title>')
  writeFileSync(join(folder, 'assets/main-abc123.js'), 'export {}')
  writeFileSync(join(folder, 'mark.svg'), '<svg xmlns="http://www.w3.org/2000/svg"/>')
  return folder
}

test('hashed files are kept for good, the page is asked for each time, and every address of a page is the page', async () => {
  const app = await appOn(builtPages())
  const asset = await app.inject('/assets/main-abc123.js')
  expect([asset.statusCode, asset.headers['cache-control']]).toEqual([200, 'public, max-age=31536000, immutable'])
  expect((await app.inject('/mark.svg')).headers['cache-control']).toBe('no-cache')
  for (const url of ['/', '/index.html', '/houses/some-house/enter?x=1']) {
    const page = await app.inject(url)
    expect([page.statusCode, page.headers['cache-control']], url).toEqual([200, 'no-cache'])
    expect(page.body).toContain('the page')
    expect(page.headers['content-security-policy']).toContain("default-src 'self'")
  }
})

test('what is not there is said so and never kept, and nothing outside the folder is served', async () => {
  const app = await appOn(builtPages())
  for (const url of ['/assets/gone.js', '/api/nothing', '/api', '/..%2f..%2fpackage.json', '/../web.txt']) {
    const answer = await app.inject(url)
    expect([answer.statusCode, answer.json().code], url).toEqual([404, 'NOT_FOUND'])
    expect(answer.headers['cache-control'] ?? '').not.toContain('immutable')
  }
  expect((await app.inject({ method: 'POST', url: '/houses/x' })).statusCode).toBe(404)
})

test('pages that are not built are a sentence with what to do', async () => {
  const folder = join(scratchFolder(), 'nothing-here')
  const answer = await (await appOn(folder)).inject('/')
  expect([answer.statusCode, answer.body]).toEqual([200, expect.stringContaining('npm run build')])
})

test('a page elsewhere can change nothing, not even by a plain form', async () => {
  const app = await appOn(builtPages())
  const send = (origin: string) => app.inject({ method: 'POST', url: '/api/sizing', payload: {}, headers: { origin } })
  for (const origin of ['http://pages.example', 'null', 'http://127.0.0.1.pages.example']) {
    expect((await send(origin)).json(), origin).toMatchObject({ code: 'WRONG_HOST', where: 'header origin' })
  }
  expect((await send('http://127.0.0.1:8484')).statusCode).toBe(200)
})

test('long answers are packed, and one that has not changed is not sent again', async () => {
  const app = await appOn(builtPages())
  const url = '/api/openapi.json'
  const first = await app.inject({ url, headers: { 'accept-encoding': 'gzip' } })
  expect(first.headers['content-encoding']).toBe('gzip')
  const tag = first.headers.etag as string
  expect(tag).toMatch(/^W\/"/)
  for (const known of [tag, `"other", ${tag.slice(2)}`]) {
    const again = await app.inject({ url, headers: { 'accept-encoding': 'gzip', 'if-none-match': known } })
    expect([again.statusCode, again.rawPayload.length]).toEqual([304, 0])
  }
  expect((await app.inject({ url, headers: { 'if-none-match': '"other"' } })).statusCode).toBe(200)
})

test('the page of addresses needs no other host', async () => {
  const app = await appOn(builtPages())
  const page = await app.inject('/api/docs')
  const asked = [...page.body.matchAll(/(?:src|href)="([^"]+)"/g)].map(([, at]) => at!)
  expect(asked.length).toBeGreaterThan(3)
  for (const url of asked) {
    expect(url).toMatch(/^\/api\/docs\//)
    expect((await app.inject(url)).statusCode, url).toBe(200)
  }
})
