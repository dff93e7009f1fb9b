/** Backups beside a service that stores readings, the service's own backups, and what is said of them. */
import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { existsSync, readdirSync, writeFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { expect, test } from 'vitest'
import type { ImportProgress, KeptFilesAnswer } from '../../server/http/contract/files.ts'
import { openDatabase } from '../../server/store/open.ts'
import { scratchFolder } from '../support/database.ts'
import { keptHouse } from '../support/keptHouse.ts'
import { AT_S, checkAll, type Sender, sendUntilCut, tempOf } from '../support/killedService.ts'
import { connectLogger, type LiveService, startLiveService } from '../support/liveService.ts'

const ROOT = resolve(import.meta.dirname, '../..')

async function underjoist(...args: string[]) {
  const program = spawn(process.execPath, ['--import', 'tsx', 'server/cli.ts', ...args], { cwd: ROOT })
  let [out, err] = ['', '']
  program.stdout.on('data', (chunk) => (out += chunk))
  program.stderr.on('data', (chunk) => (err += chunk))
  const [code] = (await once(program, 'close')) as [number]
  return { code, out, err }
}

const rows = (path: string, text: string, ...values: unknown[]): unknown[] => {
  const db = openDatabase(path, { readOnly: true })
  try {
    return db.raw.prepare(text).all(...values)
  } finally {
    db.close()
  }
}

test('made while loggers send to a service, it is of one instant: what was acknowledged before, in every table alike', async () => {
  const folder = scratchFolder()
  const path = join(folder, 'underjoist.db')
  const { loggers } = await keptHouse(path, { rows: 40_000, loggers: 4 })
  const service = await startLiveService(path)
  const senders: Sender[] = loggers.map((logger) => ({ logger, acknowledged: 0 }))
  const sending = Promise.all(
    senders.map(async (sender, i) =>
      sendUntilCut(await connectLogger(service.mqtt, sender.logger), i, sender, () => {}),
    ),
  )
  const total = () => senders.reduce((sum, { acknowledged }) => sum + acknowledged, 0)
  const until = async (count: number) => {
    while (total() < count) await new Promise((later) => setTimeout(later, 10))
  }
  await until(100)
  const before = senders.map(({ acknowledged }) => acknowledged)
  const made = await underjoist('backup', join(folder, 'b'), '--db', path, '--json')
  expect(made.code, made.err).toBe(0)
  await until(total() + 100)
  const after = senders.map(({ acknowledged }) => acknowledged)
  expect(await service.end('SIGTERM')).toBe(0)
  await sending
  checkAll(path, senders)

  const backup = (JSON.parse(made.out) as { path: string }).path
  const to = join(folder, 'new.db')
  const restored = await underjoist('restore', backup, '--db', to)
  expect(restored).toMatchObject({ code: 0, out: expect.stringMatching(/1 house, 4\d,\d\d\d readings from 2025-06-01 to .*, 3 photos\./) }) // biome-ignore format: one expectation
  const through: number[] = []
  for (const [i, { logger }] of senders.entries()) {
    const found = rows(to, 'select (at / 1000 - ?) / 60 as seq, temp_c as temp from readings where probe_id = ? order by at', AT_S, logger.probeId) // biome-ignore format: one question
    expect(found.length).toBeGreaterThanOrEqual(before[i]!)
    expect(found.length).toBeLessThan(after[i]!)
    expect(found).toEqual(found.map((_, at) => ({ seq: at + 1, temp: Math.round(100 * tempOf(i, at + 1)) })))
    through.push(found.length)
  }
  const sequences = 'select through from sequences s join loggers l on l.id = s.logger_id order by l.key'
  expect(rows(to, sequences)).toEqual(through.map((one) => ({ through: one })))
  expect(rows(to, `select messages from logger_states join loggers on id = logger_id order by key`)).toEqual(
    through.map((messages) => ({ messages })),
  )
  // What no message changes, and nothing that follows from one, is the same row by row.
  const tables = rows(to, `select name from sqlite_master where type = 'table' and name not like 'sqlite_%'`)
  const moving = ['readings', 'sequences', 'logger_states', 'hourly_due', 'hourly', 'hourly_digests', 'service_facts']
  moving.push('findings', 'jobs', 'watch_states', 'watch_due', 'notices', 'notice_changes', 'letters', 'api_tokens')
  const still = (tables as { name: string }[]).map(({ name }) => name).filter((name) => !moving.includes(name))
  expect(still.length).toBeGreaterThan(20)
  for (const table of still) expect(rows(to, `select * from "${table}"`), table).toEqual(rows(path, `select * from "${table}"`)) // biome-ignore format: one expectation
  const house = (db: string) => rows(db, `select * from readings where probe_id in (select probe_id from placements)`)
  expect(house(to)).toEqual(house(path))
  const again = await underjoist('restore', backup, '--db', to)
  expect(again).toMatchObject({ code: 3, err: expect.stringContaining('is there already') })
}, 180_000)

const metric = async ({ ask }: LiveService, name: string): Promise<string | undefined> =>
  new RegExp(`^${name} (.+)$`, 'm').exec(await (await ask('/metrics')).text())?.[1]

test('a service makes up for a missed backup at its start, and tells when it was', async () => {
  const folder = scratchFolder()
  const path = join(folder, 'underjoist.db')
  await keptHouse(path)
  const backups = join(folder, 'backups')
  const env = { MQTT_PORT: 'off', BACKUP_FOLDER: backups, BACKUP_EVERY_H: '1' }
  const service = await startLiveService(path, env)
  let age: string | undefined
  while ((age = await metric(service, 'underjoist_backup_age_seconds')) === '+Inf' || age === 'Inf') {
    await new Promise((later) => setTimeout(later, 50))
  }
  expect(Number(age)).toBeLessThan(60)
  expect(await metric(service, 'underjoist_backup_failed')).toBe('0')
  const made = readdirSync(backups)
  expect(made).toHaveLength(1)
  const check = await underjoist('check', '--db', path)
  expect(check).toMatchObject({ code: 0, out: expect.stringMatching(/Last backup \d{4}-.*Z, 0 hours ago, in .*backups\.\n$/) }) // biome-ignore format: one expectation
  expect(await service.end('SIGTERM')).toBe(0)

  // Started again within the hour it makes none.
  const next = await startLiveService(path, env)
  while ((await metric(next, 'underjoist_backup_age_seconds')) === '+Inf') {
    await new Promise((later) => setTimeout(later, 50))
  }
  expect(readdirSync(backups)).toEqual(made)
  expect((await underjoist('restore', join(backups, made[0]!), '--db', join(folder, 'new.db'))).code).toBe(0)
})

test('a backup that fails is told, and the service goes on', async () => {
  const folder = scratchFolder()
  const path = join(folder, 'underjoist.db')
  await keptHouse(path, { rows: 10 })
  const taken = join(folder, 'a-file')
  writeFileSync(taken, '')
  const service = await startLiveService(path, { MQTT_PORT: 'off', BACKUP_FOLDER: taken })
  while ((await metric(service, 'underjoist_backup_failed')) !== '1') {
    await new Promise((later) => setTimeout(later, 50))
  }
  expect(await metric(service, 'underjoist_backup_age_seconds')).toMatch(/Inf/)
  expect((await fetch(`${service.http}/healthz`)).status).toBe(200)
  const check = await underjoist('check', '--db', path, '--json')
  expect(JSON.parse(check.out).backup).toMatchObject({
    folder: taken,
    lastGoodAt: null,
    trouble: { sentence: expect.stringContaining('cannot be used as a folder') },
  })
  expect((await underjoist('check', '--db', path)).out).toMatch(/No whole backup of it is in .* was not made: /)
})

test('SIGTERM while loggers send, a page looks live, a file is brought in and a backup is made: all is finished or parked, and nothing is lost', async () => {
  const folder = scratchFolder()
  const path = join(folder, 'underjoist.db')
  const { loggers } = await keptHouse(path, { rows: 100_000, loggers: 6 })
  const backups = join(folder, 'backups')
  const service = await startLiveService(path, { MQTT_PORT: '0', BACKUP_FOLDER: backups })
  const page = await service.ask('/api/live')
  expect(page.status).toBe(200)
  const senders: Sender[] = loggers.map((logger) => ({ logger, acknowledged: 0 }))
  const sending = senders.map(async (sender, i) =>
    sendUntilCut(await connectLogger(service.mqtt, sender.logger), i, sender, () => {}),
  )
  const importId = await bringIn(service, 300_000)
  const soFar = senders.map(({ acknowledged }) => acknowledged)
  while (senders.some(({ acknowledged }, i) => acknowledged < soFar[i]! + 5))
    await new Promise((later) => setTimeout(later, 5))
  const told = performance.now()
  expect(await service.end('SIGTERM')).toBe(0)
  expect(performance.now() - told).toBeLessThan(10_000)
  await Promise.all(sending)
  await page.body?.cancel().catch(() => {})
  expect(existsSync(`${path}-wal`)).toBe(false) // the last connection closed the file
  checkAll(path, senders)
  expect(readdirSync(backups).filter((name) => name.startsWith('partial-'))).toEqual([])

  // What was parked goes on when the service is there again.
  const jobs = rows(path, 'select state from jobs') as { state: string }[]
  expect(jobs.map(({ state }) => state)).not.toContain('done')
  expect(jobs.map(({ state }) => state)).not.toContain('failed')
  const next = await startLiveService(path, { MQTT_PORT: 'off' })
  const state = async () => {
    const answer = await next.ask(`/api/imports/${importId}/progress`)
    return ((await answer.json()) as ImportProgress).state
  }
  while (['waiting', 'running'].includes(await state())) await new Promise((later) => setTimeout(later, 100))
  expect(await state()).toBe('done')
  const imported = 'select count(*) as rows from readings where at < ?'
  expect(rows(path, imported, Date.UTC(2024, 0, 1))).toEqual([{ rows: 300_000 }])
  expect(await next.end('SIGTERM')).toBe(0)
}, 180_000)

/** Drops a file of that many rows on the page of the house, and lets it be stored; returns the import. */
async function bringIn({ ask }: LiveService, count: number): Promise<number> {
  const start = Date.UTC(2022, 0, 1)
  const lines = ['time_utc,temp_c,rh_pct']
  for (let i = 0; i < count; i++) lines.push(`${new Date(start + i * 60_000).toISOString()},${(i % 300) / 10},80`)
  const form = new FormData()
  form.append('files', new Blob([lines.join('\n')]), 'large.csv')
  const dropped = await ask('/api/houses/kept/files', { method: 'POST', body: form })
  const { files } = (await dropped.json()) as KeptFilesAnswer
  const [file] = files
  if (!file?.look.ok) throw new Error('The file must be understood.')
  const probes = { [file.look.understanding.probes[0]!.probeKey]: { newAtSpot: 'crawl/low' } }
  const answer = await ask(`/api/houses/kept/files/${file.file}/store`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ answers: file.answers, probes }),
  })
  const body = (await answer.json()) as { importId: number }
  expect(answer.status, JSON.stringify(body)).toBeLessThan(300)
  return body.importId
}
