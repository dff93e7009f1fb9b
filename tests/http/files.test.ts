/** Files on their way in, over HTTP: kept aside, looked at, stored by a job, undone. */
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { FastifyInstance } from 'fastify'
import { expect, test } from 'vitest'
import type { ServiceParts } from '../../server/cli/runService.ts'
import type { Answers, Destination, KeptFile } from '../../server/http/contract/files.ts'
import { storeHouse } from '../../server/store/storeHouse.ts'
import { filesForm, type Part, scratchService } from '../support/service.ts'
import { TEST_HOUSE } from '../support/studiedHouse.ts'

const NOW = Date.UTC(2026, 5, 1)
const HOUSE = '/api/houses/test-house'
const sample = (name: string) => readFileSync(join(import.meta.dirname, '../data/csv', name))

const plain = (rows: number, tempC = 18): string =>
  [
    'time,temperature °C,rh %',
    ...Array.from(
      { length: rows },
      (_, i) =>
        `2026-05-01 ${String(i % 24).padStart(2, '0')}:${String(Math.floor(i / 24)).padStart(2, '0')}:00,${tempC},${70 + (i % 10)}`,
    ),
  ].join('\n')

async function house(): Promise<ServiceParts> {
  const parts = await scratchService(() => NOW)
  await storeHouse(
    parts.db,
    { ...TEST_HOUSE, loggers: TEST_HOUSE.loggers!.slice(0, 1) },
    { replace: false, now: NOW, who: 'a test' },
  )
  return parts
}

async function dropped(app: FastifyInstance, ...files: Part[]): Promise<KeptFile[]> {
  const answer = await app.inject({ method: 'POST', url: `${HOUSE}/files`, ...filesForm(files) })
  expect(answer.statusCode).toBe(201)
  return answer.json().files
}

async function stored(
  parts: ServiceParts,
  file: KeptFile,
  probes: Record<string, Destination>,
  answers: Answers = file.answers,
) {
  const { app, queue } = parts
  const begun = await app.inject({
    method: 'POST',
    url: `${HOUSE}/files/${file.file}/store`,
    payload: { answers, probes },
  })
  if (begun.statusCode !== 202) return { refused: begun }
  const { importId, jobId } = begun.json()
  await queue.ended(jobId)
  return { importId: importId as number, progress: (await app.inject(`/api/imports/${importId}/progress`)).json() }
}

const onlyProbe = (file: KeptFile): string => (file.look.ok ? file.look.understanding.probes[0]!.probeKey : 'none')
const readings = ({ db }: ServiceParts) => db.raw.prepare('select count(*) from readings').pluck().get()

test('a file is looked at with its own first lines and nothing is stored before it is said', async () => {
  const parts = await house()
  const [file] = await dropped(parts.app, { name: 'crawl.csv', bytes: plain(48) })
  expect(file!.head[1]).toEqual({ line: 2, text: '2026-05-01 00:00:00,18,70' })
  expect(file!.look).toMatchObject({ ok: true, ready: true, understanding: { rows: 48 } })
  expect(readings(parts)).toBe(0)
  const done = await stored(parts, file!, { [onlyProbe(file!)]: { newAtSpot: 'crawl/mid' } })
  expect(done.progress).toMatchObject({ state: 'done', done: 1, import: { stored: 48, refused: 0 } })
  const { house: tree } = (await parts.app.inject(HOUSE)).json()
  expect(tree.loggers.at(-1)).toMatchObject({ probes: [{ placements: [{ spot: 'crawl/mid', from: '2026-05-01' }] }] })
  expect((await parts.app.inject(`${HOUSE}/history`)).json().entries[0].what).toBe('made room for crawl.csv')
})

test('of two files at once a bad one is refused in a sentence, and the good one stands', async () => {
  const parts = await house()
  const [good, bad, empty] = await dropped(
    parts.app,
    { name: 'crawl.csv', bytes: plain(24) },
    { name: '../../escape.csv', bytes: Buffer.from([0x89, 0x50, 0x4e, 0x47, 0, 0, 1, 2]) },
    { name: 'empty.csv', bytes: '' },
  )
  expect(good!.look.ok).toBe(true)
  expect(bad!.look).toMatchObject({ ok: false, refusal: { code: 'BINARY' } })
  expect(empty!.look).toMatchObject({ ok: false, refusal: { code: 'EMPTY' } })
  const refused = await stored(parts, bad!, {})
  expect(refused.refused!.json()).toMatchObject({ code: 'NOT_UNDERSTOOD' })
})

test('what the file leaves open is asked, the answer changes the look, and it is remembered for the next one', async () => {
  const parts = await house()
  // Days and months that could be either: every date is below 13.
  const open = [
    'time;temperature °C;rh %',
    ...Array.from(
      { length: 30 },
      (_, i) =>
        `0${1 + (i % 6)}/05/2026 ${String(10 + Math.floor(i / 6)).padStart(2, '0')}:00;17,${i % 10};7${i % 10},5`,
    ),
  ].join('\n')
  const [file] = await dropped(parts.app, { name: 'open.csv', bytes: open })
  if (!file!.look.ok) throw new Error('It must be understood.')
  const question = file!.look.questions.find(({ key }) => key === 'dateOrder')
  expect(question).toMatchObject({ assumed: null })
  expect((await stored(parts, file!, { [onlyProbe(file!)]: { newAtSpot: 'crawl/mid' } })).refused!.json().code).toBe(
    'NOT_UNDERSTOOD',
  )
  const again = await parts.app.inject({
    method: 'POST',
    url: `${HOUSE}/files/${file!.file}/look`,
    payload: { answers: { dateOrder: 'dmy' } },
  })
  expect(again.json().look).toMatchObject({ ready: true, understanding: { time: { dateOrder: 'dmy' } } })
  await stored(parts, again.json(), { [onlyProbe(file!)]: { newAtSpot: 'crawl/mid' } })
  const [next] = await dropped(parts.app, { name: 'next.csv', bytes: open.replaceAll('2026', '2025') })
  expect(next!.answers).toMatchObject({ dateOrder: 'dmy' })
  expect(next!.look).toMatchObject({ ready: true })
})

test('an import is undone: its readings go, what was there before stays, and the same file can come again', async () => {
  const parts = await house()
  const [first] = await dropped(parts.app, { name: 'first.csv', bytes: plain(24) })
  const one = await stored(parts, first!, { [onlyProbe(first!)]: { newAtSpot: 'crawl/mid' } })
  const probeId = parts.db.raw.prepare('select probe_id from readings limit 1').pluck().get() as number
  const [second] = await dropped(parts.app, { name: 'second.csv', bytes: plain(48) })
  const two = await stored(parts, second!, { [onlyProbe(second!)]: { probeId } })
  expect(two.progress.import).toMatchObject({ stored: 24, repeated: 24 })
  const undo = (id: number) => parts.app.inject({ method: 'POST', url: `/api/imports/${id}/undo` })
  expect((await undo(two.importId!)).json()).toEqual({ removed: 24 })
  expect(readings(parts)).toBe(24)
  expect(parts.db.raw.prepare('select count(*) from hourly_due where probe_id = ?').pluck().get(probeId)).toBe(1)
  expect((await undo(two.importId!)).json()).toMatchObject({ code: 'CANNOT_UNDO' })
  const { imports } = (await parts.app.inject(`${HOUSE}/imports`)).json()
  expect(imports.map((row: { state: string; canUndo: boolean }) => [row.state, row.canUndo])).toEqual([
    ['undone', false],
    ['stored', true],
  ])
  const [known] = await dropped(parts.app, { name: 'first again.csv', bytes: plain(24) })
  expect(known!.knownImportId).toBe(one.importId)
})

test('real files of strange layouts come in over HTTP, and refused lines are listed with their fix', async () => {
  const parts = await house()
  const files = ['messy-air-semicolon-decimal-comma.csv.gz', 'messy-derived-utf16-tab-12h-fahrenheit-dst-autumn.txt.gz']
  for (const file of await dropped(parts.app, ...files.map((name) => ({ name, bytes: sample(name) })))) {
    if (!file.look.ok) throw new Error(`${file.name}: ${file.look.refusal.message}`)
    const destinations = Object.fromEntries(
      file.look.understanding.probes.map(({ probeKey }) => [probeKey, { newAtSpot: 'crawl/mid' }]),
    )
    const done = await stored(parts, file, destinations)
    expect(done.progress, file.name).toMatchObject({ state: 'done' })
    const { total, lines } = (await parts.app.inject(`/api/imports/${done.importId}/lines`)).json()
    expect(total).toBe(done.progress.import.refused + done.progress.import.differs)
    for (const line of lines) expect(line.fix.length).toBeGreaterThan(5)
  }
})

test('a file dropped at one house is not there for another', async () => {
  const parts = await house()
  const [file] = await dropped(parts.app, { name: 'crawl.csv', bytes: plain(24) })
  await storeHouse(
    parts.db,
    { ...TEST_HOUSE, key: 'next-door', loggers: [] },
    { replace: false, now: NOW, who: 'a test' },
  )
  const at = (key: string) => `/api/houses/${key}/files/${file!.file}`
  const look = (key: string) =>
    parts.app.inject({ method: 'POST', url: `${at(key)}/look`, payload: { answers: file!.answers } })
  expect((await look('next-door')).json().code).toBe('UNKNOWN_FILE')
  await parts.app.inject({ method: 'DELETE', url: at('next-door') })
  expect((await look('test-house')).statusCode).toBe(200)
  await parts.app.inject({ method: 'DELETE', url: at('test-house') })
  expect((await look('test-house')).json().code).toBe('UNKNOWN_FILE')
})

test('places that are not there, probes of other houses, and files that are gone are refused, and nothing is stored', async () => {
  const parts = await house()
  const [file] = await dropped(parts.app, { name: 'crawl.csv', bytes: plain(24) })
  const key = onlyProbe(file!)
  for (const probes of [
    {},
    { [key]: { newAtSpot: 'crawl/nowhere' } },
    { [key]: { probeId: 999 } },
    { [key]: { station: 'none' } },
  ]) {
    expect((await stored(parts, file!, probes)).refused!.json().code).toBe('BAD_DESTINATION')
  }
  const gone = { ...file!, file: '00000000-0000-4000-8000-000000000000' }
  expect((await stored(parts, gone, {})).refused!.json().code).toBe('UNKNOWN_FILE')
  const elsewhere = await parts.app.inject({
    method: 'POST',
    url: '/api/houses/nobody/files',
    ...filesForm([{ name: 'a.csv', bytes: plain(3) }]),
  })
  expect(elsewhere.json().code).toBe('UNKNOWN_HOUSE')
  const noForm = await parts.app.inject({ method: 'POST', url: `${HOUSE}/files`, payload: {} })
  expect(noForm.json().code).toBe('NOT_A_FORM')
  expect(readings(parts)).toBe(0)
})
