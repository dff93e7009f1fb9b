/** The command line as a person or a script meets it: the real program, its words and its exit codes. */

import { spawn, spawnSync } from 'node:child_process'
import { mkdirSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { beforeAll, expect, onTestFinished, test } from 'vitest'
import { tokenOf } from '../support/liveService.ts'

const ROOT = resolve(import.meta.dirname, '../..')
const folder = mkdtempSync(join(tmpdir(), 'underjoist-cli-'))
const database = join(folder, 'cli.db')

function underjoist(...args: string[]) {
  const run = spawnSync(process.execPath, ['--import', 'tsx', 'server/cli.ts', ...args], {
    cwd: ROOT,
    encoding: 'utf8',
    env: { ...process.env, UNDERJOIST_DB: database },
  })
  return { code: run.status, out: run.stdout, err: run.stderr }
}

const house = {
  format: 'underjoist house 1',
  key: 'maple',
  name: 'Maple test house',
  invented: true,
  timeZone: 'America/New_York',
  spaces: [{ key: 'crawl', name: 'Crawl space', role: 'crawl space', spots: [{ key: 'low', name: 'Low corner' }] }],
  loggers: [{ key: 'b1', probes: [{ key: 'air', placements: [{ spot: 'crawl/low', from: '2024-01-01' }] }] }],
}

/** Every date could be a month: 01/02/2024 and 02/02/2024, twelve hours apart. */
const AMBIGUOUS = `Date,Temp (C),RH (%)\n01/02/2024 00:00,12.5,81\n01/02/2024 12:00,13.5,79\n02/02/2024 00:00,12.0,82\n`

beforeAll(() => {
  mkdirSync(join(folder, 'house'))
  writeFileSync(join(folder, 'house/house.json'), JSON.stringify(house))
  writeFileSync(join(folder, 'ambiguous.csv'), AMBIGUOUS)
  writeFileSync(
    join(folder, 'bad-line.csv'),
    'time_utc,temp_c,rh_pct\n2024-03-01T00:00:00Z,10,80\n2024-03-01T01:00:00Z,warm,81\n2024-03-01T02:00:00Z,10.5,80\n',
  )
  expect(underjoist('load', join(folder, 'house')).code).toBe(0)
})

test('without a command it shows what there is and exits 2; with --help it exits 0', () => {
  expect(underjoist()).toMatchObject({ code: 2, out: expect.stringContaining('findings') })
  expect(underjoist('--help').code).toBe(0)
  const help = underjoist('import', '--help')
  expect(help).toMatchObject({ code: 0, out: expect.stringContaining('Examples:') })
  expect(help.out).toContain('--look')
})

test.each([
  [['frobnicate'], 'There is no command "frobnicate"'],
  [['houses', '--colour'], 'colour'],
  [['export', 'maple'], 'folder to write is missing'],
  [['findings', 'maple', '--units', 'furlongs'], '--units takes us or si'],
])('%j is not understood and exits 2', (args, sentence) => {
  expect(underjoist(...args)).toMatchObject({ code: 2, err: expect.stringContaining(sentence) })
})

test('houses are listed for people and as JSON', () => {
  expect(underjoist('houses').out).toContain('Maple test house (invented)')
  expect(JSON.parse(underjoist('houses', '--json').out)).toMatchObject([{ key: 'maple', spots: 1, invented: true }])
})

test('a date that can be read two ways is asked, answered, stored, and not asked again', () => {
  const file = join(folder, 'ambiguous.csv')
  const asked = underjoist('import', file, '--house', 'maple', '--probe', 'b1/air')
  expect(asked.code).toBe(4)
  expect(asked.out).toContain("--answer 'dateOrder=dmy'")
  expect(JSON.parse(underjoist('import', file, '--house', 'maple', '--look', '--json').out).ready).toBe(false)

  const answered = underjoist(
    'import',
    file,
    '--house',
    'maple',
    '--probe',
    'b1/air',
    '--answer',
    'dateOrder=dmy',
    '--json',
  )
  expect(answered.code).toBe(0)
  expect(JSON.parse(answered.out)).toMatchObject({ stored: 3, refused: 0 })

  const next = join(folder, 'next-month.csv')
  writeFileSync(next, AMBIGUOUS.replaceAll('/02/2024', '/03/2024'))
  expect(underjoist('import', next, '--house', 'maple', '--probe', 'b1/air')).toMatchObject({
    code: 0,
    out: expect.stringContaining('3 stored'),
  })
})

test('columns without a name are shown with their values and can be named', () => {
  const file = join(folder, 'nameless.csv')
  writeFileSync(file, '2024-05-01T00:00:00Z,11.5,80\n2024-05-01T01:00:00Z,11.6,81\n2024-05-01T02:00:00Z,11.8,83\n')
  const asked = underjoist('import', file, '--house', 'maple', '--look')
  expect(asked).toMatchObject({ code: 4, out: expect.stringContaining('column 2: 11.5 to 11.8') })
  const roles = ['--answer', 'columnRoles.column 2=tempC °C', '--answer', 'columnRoles.column 3=rhPct %']
  const named = underjoist('import', file, '--house', 'maple', '--look', ...roles)
  expect(named).toMatchObject({
    code: 0,
    out: expect.stringContaining('air temperature 11.5 °C, relative humidity over water 80 %'),
  })
})

test('refused lines come back in the receipt with their line, reason and fix', () => {
  const run = underjoist('import', join(folder, 'bad-line.csv'), '--house', 'maple', '--probe', 'b1/air', '--json')
  const { importId, stored, refused } = JSON.parse(run.out)
  expect({ code: run.code, stored, refused }).toEqual({ code: 0, stored: 3, refused: 1 })
  const to = join(folder, 'receipt.csv')
  expect(underjoist('import', '--receipt', String(importId), to).code).toBe(0)
  const lines = readFileSync(to, 'utf8').trim().split('\r\n')
  expect(lines).toHaveLength(2)
  expect(lines[1]).toMatch(/^3,refused,.*warm/)
})

test.each([
  [['import', 'no-such.csv', '--house', 'maple', '--probe', 'b1/air'], 'no file'],
  [['import', 'package.json', '--house', 'maple', '--probe', 'b1/air'], 'package.json'],
  [['import', 'README.md', '--house', 'nobody', '--probe', 'b1/air'], 'no house "nobody"'],
  [['findings', 'nobody'], 'no house "nobody"'],
  [['load', 'server'], 'house.json'],
  [['serve', '--host', '0.0.0.0'], 'this machine only'],
])('%j is refused with a sentence and exits 3', (args, sentence) => {
  const { code, out, err } = underjoist(...args)
  expect({ code, text: `${out}${err}` }).toEqual({ code: 3, text: expect.stringContaining(sentence) })
  expect(err).not.toContain('    at ')
})

test('check says the database is sound, and finds a damaged hour', async () => {
  expect(underjoist('findings', 'maple').code).toBe(0)
  expect(underjoist('check')).toMatchObject({ code: 0, out: expect.stringContaining('Sound') })
  const { default: Sqlite } = await import('better-sqlite3')
  const raw = new Sqlite(database)
  raw.prepare('update hourly set temp_c = temp_c + 1').run()
  raw.close()
  expect(underjoist('check')).toMatchObject({ code: 5, out: expect.stringContaining('temp_c') })
})

test('a served database takes readings over HTTP on this machine and stops on a signal', async () => {
  const token = await tokenOf(database)
  const child = spawn(
    process.execPath,
    ['--import', 'tsx', 'server/cli.ts', 'serve', '--port', '0', '--json', '--db', database],
    { cwd: ROOT, env: { ...process.env, MQTT_PORT: '0' } },
  )
  onTestFinished(() => void child.kill('SIGKILL'))
  const address = await new Promise<string>((found) => {
    child.stdout.once('data', (data: Buffer) => found(JSON.parse(data.toString()).address))
  })
  const send = (body: unknown) =>
    fetch(`${address}/api/probes/1/readings`, {
      method: 'POST',
      headers: { 'content-type': 'application/json', authorization: `Bearer ${token}` },
      body: JSON.stringify(body),
    })
  const reading = { at: '2024-06-01T00:00:00Z', tempC: 20.5, rhPct: 75 }
  const first = await send([{ ...reading, at: Date.parse(reading.at) }])
  expect(await first.json()).toMatchObject({ stored: 1, repeated: 0 })
  const again = await send([{ ...reading, at: Date.parse(reading.at) }])
  expect(await again.json()).toMatchObject({ stored: 0, repeated: 1 })
  child.kill('SIGTERM')
  expect(await new Promise((ended) => child.once('exit', ended))).toBe(0)
})
