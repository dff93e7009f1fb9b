/** What somebody would send who means harm: each is refused with a sentence, or does nothing, and the service goes on. */

import { existsSync, readdirSync } from 'node:fs'
import { createConnection } from 'node:net'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import type { InjectOptions } from 'fastify'
import { afterEach, beforeEach, expect, test } from 'vitest'
import type { ServiceParts } from '../../server/cli/runService.ts'
import { buildService } from '../../server/cli/runService.ts'
import { csvCell } from '../../server/ingest/receiptCsv.ts'
import { scratchFolder } from '../support/database.ts'
import { filesForm } from '../support/service.ts'
import { storeTestHouse, TEST_HOUSE } from '../support/studiedHouse.ts'

const NOW = Date.UTC(2026, 5, 1)
const HOUSE = '/api/houses/test-house'

let parts: ServiceParts
let folder: string

beforeEach(async () => {
  folder = scratchFolder()
  parts = await buildService({
    door: 'open on this machine',
    databasePath: join(folder, 'underjoist.db'),
    now: () => NOW,
    log: false,
    steadyMs: () => 0,
  })
  parts.queue.start()
  await storeTestHouse(parts.db, TEST_HOUSE)
})

afterEach(async () => {
  // Whatever was asked: the house is as it was, no object has a property more, and the service answers.
  const { house } = (await parts.app.inject(HOUSE)).json()
  expect(house).toMatchObject({ key: 'test-house', name: TEST_HOUSE.name, loggers: TEST_HOUSE.loggers })
  expect(({} as { polluted?: unknown }).polluted).toBeUndefined()
  expect((await parts.app.inject('/healthz')).statusCode).toBe(200)
  await parts.stop()
})

async function refused(asked: InjectOptions | string, what: string) {
  const answer = await parts.app.inject(asked as InjectOptions)
  expect(
    [answer.statusCode >= 400 && answer.statusCode < 500, answer.body.length < 20_000],
    `${what}: ${answer.statusCode} ${answer.body.slice(0, 300)}`,
  ).toEqual([true, true])
  const { code, message, hint } = answer.json()
  expect(
    [message, hint].every((text) => /[.:!?]$/.test(text)),
    `${what}: ${message} ${hint}`,
  ).toBe(true)
  return { code, message, hint, status: answer.statusCode }
}

const json = (
  url: string,
  payload: string | Buffer,
  type = 'application/json',
  method: 'POST' | 'PUT' = 'POST',
): InjectOptions => ({
  method,
  url,
  payload,
  headers: { 'content-type': type },
})

const drop = (name: string, bytes: string | Buffer) =>
  parts.app.inject({ method: 'POST', url: `${HOUSE}/files`, ...filesForm([{ name, bytes }]) })

test('a gzip that unpacks to more than a gigabyte is a sentence, and its first lines are short', async () => {
  const million = Buffer.from(`time,temperature °C\n${'2026-05-01 00:00:00,18\n'.repeat(43_000)}`)
  // Many members one after the other are one file: 1.1 GB in about 3 MB.
  const answer = await drop('bomb.csv.gz', Buffer.concat(Array.from({ length: 1_150 }, () => gzipped(million))))
  expect(answer.statusCode).toBe(201)
  const [{ look, head }] = answer.json().files
  expect(look.ok).toBe(false)
  expect(`${look.refusal.message} ${look.refusal.hint}`).toMatch(/unpacks to more than 1,000 MB/)
  expect(JSON.stringify(head).length).toBeLessThan(10_000)
  const line = await drop('one-line.csv.gz', gzipSync(Buffer.alloc(200 * 1024 * 1024, 'a')))
  expect([line.statusCode, line.json().files[0].look.ok, line.body.length < 20_000]).toEqual([201, false, true])
})

const gzipOf = new Map<Buffer, Buffer>()
function gzipped(bytes: Buffer): Buffer {
  const made = gzipOf.get(bytes) ?? gzipSync(bytes)
  gzipOf.set(bytes, made)
  return made
}

test('the name of a dropped file is words to show and never part of a path', async () => {
  const names = [
    '../../evil.csv',
    '..\\..\\evil.csv',
    '/etc/cron.d/evil',
    'C:\\evil.csv',
    'a\u0000.csv',
    '....//evil',
    '.',
    '%2e%2e%2fevil.csv',
    '__proto__',
    'a\u202egnp.csv',
  ]
  for (const name of names) {
    const answer = await drop(name, 'time,temperature °C\n2026-05-01 00:00:00,18\n')
    expect(answer.statusCode, name).toBe(201)
    const [{ file }] = answer.json().files
    expect(file, name).toMatch(/^[0-9a-f-]{36}$/)
  }
  // All that was written lies under names of our own.
  expect(readdirSync(folder).filter((name) => !name.startsWith('underjoist.db'))).toEqual([])
  for (const name of readdirSync(join(folder, 'underjoist.db.dropped')))
    expect(name).toMatch(/^[0-9a-f-]{36}\.(bytes|json)$/)
  expect(existsSync(join(folder, '../evil.csv'))).toBe(false)
})

test('no key, hash or handle leads out of its folder', async () => {
  const escapes = [
    '..%2f..%2fetc%2fpasswd',
    '..',
    '%2e%2e',
    '..%5c..%5cevil',
    'a%00b',
    '%00',
    'a%2fb',
    '~root',
    'A'.repeat(64),
    '%E0%A4%A',
    '%ff',
  ]
  for (const way of escapes) {
    for (const url of [
      `/api/houses/${way}`,
      `/api/photos/${way}`,
      `/api/stations/${way}`,
      `/api/loggers/${way}`,
      `/${way}.css`,
    ]) {
      await refused(url, url)
    }
    await refused({ method: 'DELETE', url: `${HOUSE}/files/${way}` }, way)
    const house = { ...TEST_HOUSE, key: decoded(way) }
    await refused({ method: 'POST', url: '/api/houses', payload: { house } }, way)
  }
  expect((await parts.app.inject('/../../../etc/passwd')).body).not.toContain('root:')
})

function decoded(text: string): string {
  try {
    return decodeURIComponent(text)
  } catch {
    return text
  }
}

test('bodies that poison, nest, swell or lie about themselves are refused', async () => {
  const enroll = '/api/loggers'
  const rest = '"probes":["air"],"hasRadio":false,"intervalS":300'
  const bodies: [string, InjectOptions, string][] = [
    ['__proto__', json(enroll, `{${rest},"__proto__":{"polluted":1}}`), 'BAD_JSON'],
    ['constructor', json(enroll, `{${rest},"constructor":{"prototype":{"polluted":1}}}`), 'BAD_JSON'],
    ['an escaped __proto__', json(enroll, `{${rest},"\\u005f_proto__":{"polluted":1}}`), 'BAD_JSON'],
    ['deeply nested lists', json('/api/sizing', `${'['.repeat(200_000)}${']'.repeat(200_000)}`), 'BAD_REQUEST'],
    [
      'deeply nested fields',
      json('/api/houses', `{"house":${'{"a":'.repeat(100_000)}1${'}'.repeat(100_000)}}`),
      'BAD_HOUSE',
    ],
    ['ten megabytes', json('/api/houses', `{"house":"${'a'.repeat(10 * 1024 * 1024)}"}`), 'TOO_LARGE'],
    ['ten megabytes of readings', json('/api/probes/1/readings', ' '.repeat(10 * 1024 * 1024)), 'TOO_LARGE'],
    ['UTF-16', json(enroll, Buffer.from(`{${rest}}`, 'utf16le'), 'application/json; charset=utf-16le'), 'BAD_JSON'],
    [
      'bytes that are no UTF-8',
      json(enroll, Buffer.concat([Buffer.from('{"a":"'), Buffer.of(0xff, 0xfe, 0xc3), Buffer.from('"}')])),
      'BAD_REQUEST',
    ],
    ['nothing at all', json(enroll, ''), 'BAD_JSON'],
    ['a form', json(enroll, 'probes=air', 'application/x-www-form-urlencoded'), 'NOT_JSON'],
    [
      'XML',
      json(enroll, '<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/passwd">]><a>&b;</a>', 'application/xml'),
      'NOT_JSON',
    ],
    ['a number beyond all', json(enroll, `{"probes":["air"],"hasRadio":false,"intervalS":1e999}`), 'BAD_REQUEST'],
    [
      'a number of a thousand digits',
      json(enroll, `{"probes":["air"],"hasRadio":false,"intervalS":${'9'.repeat(1000)}}`),
      'BAD_REQUEST',
    ],
  ]
  for (const [what, asked, code] of bodies) expect((await refused(asked, what)).code, what).toBe(code)
})

test('names twice in a query, huge numbers and half characters are refused or stored as they are, never a fault', async () => {
  await refused('/api/round?units=us&units=si', 'units twice')
  await refused(`${HOUSE}/record?from=1&from=2`, 'from twice')
  await refused(`/api/loggers?house=a&house=b`, 'house twice')
  await refused(`${HOUSE}/record?from=${'9'.repeat(400)}`, 'a huge instant')
  await refused(`/api/imports/${'9'.repeat(60)}`, 'a huge number in a path')
  await refused('/api/imports/999999999999999', 'a large number in a path')
  const readings = [
    { at: 1e300, tempC: 20 },
    { at: NOW, tempC: 1e308 },
    { at: -1e300, tempC: -1e308 },
  ]
  const receipt = await parts.app.inject({ method: 'POST', url: '/api/probes/1/readings', payload: readings })
  expect([receipt.statusCode, receipt.json().stored, receipt.json().refused.length]).toEqual([200, 0, 3])
  const named = json('/api/loggers', '{"name":"half \\ud800 sign","probes":["air"],"hasRadio":false,"intervalS":300}')
  const enrolled = await parts.app.inject(named)
  expect(enrolled.statusCode).toBeLessThan(500)
  expect((await parts.app.inject('/api/loggers')).statusCode).toBe(200)
})

test('a cell that a spreadsheet would run as a formula comes back as text in the receipt', async () => {
  const evil = [
    '=HYPERLINK("http://a.example";"b")',
    '+1+cmd|x',
    '-2+3+cmd|x',
    '@SUM(1)',
    '\t=1',
    '\r=1',
    '＝1+1',
    '-cmd',
    ' =1+1',
  ]
  const rows = evil.map((cell, i) => `2026-05-01 0${i}:00:00,18,${quoted(cell)}`)
  const csv = `time,temperature °C,rh %\n2026-05-01 12:00:00,18,70\n${rows.join('\n')}\n=1+1,18,70\n-1+cmd,18,70\n`
  const [{ file, answers, look }] = (await drop('a.csv', csv)).json().files
  const probes = { [look.understanding.probes[0].probeKey]: { newAtSpot: 'crawl/low' } }
  // The readings go to a logger of their own, so that the house afterwards is put back by undoing below.
  const begun = await parts.app.inject({
    method: 'POST',
    url: `${HOUSE}/files/${file}/store`,
    payload: { answers, probes: { ...probes, [Object.keys(probes)[0]!]: { probeId: 1 } } },
  })
  expect(begun.statusCode).toBe(202)
  await parts.queue.ended(begun.json().jobId)
  const receipt = await parts.app.inject(`/api/imports/${begun.json().importId}/receipt.csv`)
  expect(receipt.headers['content-disposition']).toBe(`attachment; filename="receipt-${begun.json().importId}.csv"`)
  expect(receipt.body).toContain('=1+1')
  for (const line of receipt.body.split('\r\n')) expect(line).not.toMatch(/(^|,)"?[=+@\t]|(^|,)"?-(?!\d+(\.\d+)?[",])/)
})

test.each([
  '=1+1',
  '+1',
  '-1+cmd|x!A0',
  '-cmd',
  '@a',
  '\t=1',
  '\r=1',
  '\n=1',
  '＝1',
  '＋1',
  '－1',
  '＠a',
  ' =1',
  '-1e5+x',
])('the cell %j is escaped', (text) => {
  expect(csvCell(text).replace(/^"/, '').startsWith("'")).toBe(true)
})

test.each(['-12', '-0.5', '-3.1e-5', '12', 'a-b', '', 'x=1'])('the cell %j stays as it is', (text) => {
  expect(csvCell(text)).toBe(text)
})

const quoted = (text: string) => `"${text.replaceAll('"', '""')}"`

test('a picture that would run, and a name that would write headers, do neither', async () => {
  const enrolled = await parts.app.inject(
    json('/api/loggers', '{"key":"cam","probes":["air"],"hasRadio":false,"intervalS":300}'),
  )
  expect(enrolled.statusCode).toBe(201)
  const pictures = {
    'a.svg': '<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>',
    'a.html': '<html><script>alert(1)</script>',
    'a.jpg': '<?php ?>',
    'a.gif': 'GIF89a',
    'a.png': '',
  }
  for (const [name, bytes] of Object.entries(pictures)) {
    const answer = await refused(
      { method: 'POST', url: '/api/loggers/cam/photo', ...filesForm([{ name, bytes }]) },
      name,
    )
    expect(answer.code, name).toBe('BAD_PHOTO')
  }
  for (const name of ['a"; filename="b.html', 'a\r\nx-evil: 1', 'a%0d%0ax-evil: 1', "a'; x"]) {
    const answer = await drop(name, 'time,temperature °C\n2026-05-01 00:00:00,18\n')
    expect(answer.statusCode, name).toBeLessThan(500)
    expect(answer.headers, name).not.toHaveProperty('x-evil')
  }
})

test('forms that are cut, nameless or endless are refused', async () => {
  const url = `${HOUSE}/files`
  const type = 'multipart/form-data; boundary=b'
  const part = '--b\r\ncontent-disposition: form-data; name="files"; filename="a.csv"\r\n\r\ntime'
  await refused(json(url, part, type), 'no end')
  await refused(json(url, '', type), 'nothing in it')
  await refused(json(url, 'x', 'multipart/form-data'), 'no boundary')
  await refused(
    json(url, `--b\r\ncontent-disposition: form-data; name="a"\r\n\r\nb\r\n--b--\r\n`, type),
    'a field and no file',
  )
  const many = filesForm(Array.from({ length: 51 }, (_, i) => ({ name: `${i}.csv`, bytes: 'a' })))
  await refused({ method: 'POST', url, ...many }, 'fifty-one files')
})

test('other hosts and pages of other hosts get nothing', async () => {
  for (const host of [
    'pages.example',
    '127.0.0.1.pages.example',
    'localhost.pages.example',
    '10.0.0.1',
    'localhost@pages.example',
  ]) {
    expect((await refused({ url: '/api/round', headers: { host } }, host)).code, host).toBe('WRONG_HOST')
  }
  for (const origin of ['http://pages.example', 'null', 'http://127.0.0.1.pages.example', 'file://']) {
    const asked = { ...json('/api/loggers', '{"probes":["air"],"hasRadio":false,"intervalS":300}') }
    expect((await refused({ ...asked, headers: { ...asked.headers, origin } }, origin)).code, origin).toBe('WRONG_HOST')
  }
  const forwarded = await parts.app.inject({
    url: '/api/round',
    headers: { host: 'pages.example', 'x-forwarded-host': '127.0.0.1' },
  })
  expect(forwarded.statusCode).toBe(403)
})

test('too many headers, smuggled lengths and broken requests end the connection with a sentence', async () => {
  const { port } = new URL(await parts.app.listen({ host: '127.0.0.1', port: 0 }))
  const host = 'host: 127.0.0.1\r\n'
  const many = Array.from({ length: 2000 }, (_, i) => `x-${i}: ${'a'.repeat(20)}\r\n`).join('')
  const asked: [string, string, number, string][] = [
    ['too many headers', `GET /healthz HTTP/1.1\r\n${host}${many}\r\n`, 431, 'HEADERS_TOO_LARGE'],
    [
      'a header too long',
      `GET /healthz HTTP/1.1\r\n${host}cookie: ${'a'.repeat(40_000)}\r\n\r\n`,
      431,
      'HEADERS_TOO_LARGE',
    ],
    [
      'two lengths',
      `POST /api/sizing HTTP/1.1\r\n${host}content-length: 2\r\ncontent-length: 3\r\n\r\n{}`,
      400,
      'BAD_REQUEST',
    ],
    [
      'a length and chunks',
      `POST /api/sizing HTTP/1.1\r\n${host}content-length: 2\r\ntransfer-encoding: chunked\r\n\r\n{}`,
      400,
      'BAD_REQUEST',
    ],
    ['a NUL in a header', `GET /healthz HTTP/1.1\r\n${host}x-a: a\u0000b\r\n\r\n`, 400, 'BAD_REQUEST'],
    ['no request', 'hello\r\n\r\n', 400, 'BAD_REQUEST'],
  ]
  for (const [what, text, status, code] of asked) {
    const answer = await overSocket(Number(port), text)
    expect(answer.startsWith(`HTTP/1.1 ${status} `), `${what}: ${answer.slice(0, 200)}`).toBe(true)
    expect(JSON.parse(answer.slice(answer.indexOf('\r\n\r\n') + 4)), what).toMatchObject({ code })
  }
})

const overSocket = (port: number, text: string): Promise<string> =>
  new Promise((resolve) => {
    const socket = createConnection(port, '127.0.0.1', () => socket.write(text))
    let answer = ''
    socket
      .on('data', (chunk) => (answer += chunk))
      .on('error', () => {})
      .on('close', () => resolve(answer))
  })
