import { createHash } from 'node:crypto'
import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import { expect, onTestFinished, test } from 'vitest'
import { type ImportArgs, importFile, lookAt } from '../../server/ingest/import.ts'
import { addImportJob, IMPORT_KIND, importHandler } from '../../server/ingest/importJob.ts'
import { createIntake } from '../../server/ingest/intake.ts'
import { receiptCsv } from '../../server/ingest/receiptCsv.ts'
import { createQueue } from '../../server/jobs/queue.ts'
import { findImport, findImports } from '../../server/store/imports.ts'
import { type Database, openDatabase } from '../../server/store/open.ts'
import { readColumns } from '../../server/store/readings.ts'
import { addHouse, addProbes, scratchDatabase, scratchFolder } from '../support/database.ts'
import { writeSeriesFile } from '../support/seriesFile.ts'

const NOW = Date.UTC(2026, 5, 1)
const HEADER = 'time,temperature (°C),relative humidity (%)\n'

function setUp(db = scratchDatabase()) {
  const folder = scratchFolder()
  const houseId = addHouse(db)
  const probes = addProbes(db, 2) as [number, number]
  const now = () => NOW
  const deps = { db, now, intake: createIntake(db, { now }) }
  const file = (name: string, content: string | Buffer) => {
    writeFileSync(join(folder, name), content)
    return join(folder, name)
  }
  const bring = (path: string, more: Partial<ImportArgs> = {}) =>
    importFile(deps, { path, houseId, probes: { '*': probes[0] }, ...more })
  return { db, deps, folder, houseId, probes, file, bring }
}

/** One reading every five minutes from the row-th on, all in UTC. */
const lines = (from: number, to: number, tempC = (row: number) => 20 + (row % 50) / 10) =>
  Array.from({ length: to - from }, (_, i) => {
    const row = from + i
    const at = new Date(Date.UTC(2025, 0, 1) + row * 300_000).toISOString()
    return `${at},${tempC(row).toFixed(2)},${(60 + (row % 30)).toFixed(1)}\n`
  }).join('')

const dump = (db: Database) => db.raw.prepare('select probe_id, at, temp_c, rh_pct from readings').raw().all()

test('a file comes in whole, its counts and its hash are kept, and a second import changes nothing', async () => {
  const { db, bring, file, houseId, probes } = setUp()
  const path = file('crawl.csv', HEADER + lines(0, 2500))
  const first = await bring(path)
  expect(first).toMatchObject({ state: 'stored', stored: 2500, repeated: 0, differs: 0, refused: 0, note: null })
  const before = dump(db)
  const second = await bring(path)
  expect(second).toMatchObject({ state: 'stored', stored: 0, repeated: 2500, differs: 0, refused: 0 })
  expect(dump(db)).toEqual(before)
  const { tempC, rhPct } = await readColumns(db, probes[0], 0, NOW)
  expect([tempC![49], rhPct![29]]).toEqual([24.9, 89])
  const [again, once] = await findImports(db, houseId)
  expect(once).toMatchObject({ fileName: 'crawl.csv', state: 'stored', stored: 2500, finishedAt: NOW })
  expect(once!.fileHash).toBe(createHash('sha256').update(readFileSync(path)).digest('hex'))
  expect(again!.fileHash).toBe(once!.fileHash)
})

test('files that overlap merge, in either order, and gzip is the same file', async () => {
  const results: unknown[] = []
  for (const order of [
    [0, 1],
    [1, 0],
  ] as const) {
    const { db, bring, file } = setUp()
    const paths = [file('a.csv', HEADER + lines(0, 1500)), file('b.csv.gz', gzipSync(HEADER + lines(1000, 2200)))]
    const first = await bring(paths[order[0]]!)
    const second = await bring(paths[order[1]]!)
    expect(first.stored + second.stored).toBe(2200)
    expect(second.repeated).toBe(500)
    results.push(dump(db))
  }
  expect(results[0]).toEqual(results[1])
})

test('where two files differ the first value stays, and the receipt names the line', async () => {
  const { db, bring, file } = setUp()
  await bring(file('a.csv', HEADER + lines(0, 1200)))
  const result = await bring(file('b.csv', HEADER + lines(0, 1200, (row) => (row === 700 ? 31 : 20 + (row % 50) / 10))))
  expect(result).toMatchObject({ stored: 0, repeated: 1199, differs: 1 })
  let receipt = ''
  for await (const piece of receiptCsv(db, result.importId)) receipt += piece
  expect(receipt.split('\r\n')[1]).toBe(
    '702,differs,"air temperature at 2025-01-03T10:20:00.000Z is 31 here, and 20 (°C) is stored already.","The first value stays. If this one is right, find out why the two sources disagree, and record a correction.",31',
  )
})

test('lines that cannot be read are refused by number with reason and fix, and all others are stored', async () => {
  const { db, bring, file } = setUp()
  const good = lines(0, 300).trimEnd().split('\n')
  good[10] = 'not a time,20,50'
  good[20] = good[20]!.replace(/,[^,]*,/, ',765.4,')
  const result = await bring(file('a.csv', `${HEADER}${good.join('\n')}\n`))
  expect(result).toMatchObject({ state: 'stored', stored: 299, refused: 2 })
  let receipt = ''
  for await (const piece of receiptCsv(db, result.importId)) receipt += piece
  const [, time, value] = receipt.split('\r\n')
  expect(time).toMatch(/^12,refused,/)
  expect(value).toMatch(/^22,refused,/)
})

test('a file of several probes is brought in probe by probe, and one without a place is asked for', async () => {
  const { bring, file, probes, db } = setUp()
  const rows = Array.from({ length: 500 }, (_, i) => {
    const at = new Date(Date.UTC(2025, 0, 1) + i * 300_000).toISOString()
    return `${at},crawl,${20 + (i % 9)},60\n${at},outdoor,${5 + (i % 9)},80\n`
  })
  const path = file('two.csv', `time,probe,temperature (°C),relative humidity (%)\n${rows.join('')}`)
  await expect(bring(path)).rejects.toThrow(/"crawl", "outdoor" have no probe of the house\. Say which probe/)
  const result = await bring(path, { probes: { crawl: probes[0], outdoor: probes[1] } })
  expect(result).toMatchObject({ stored: 1000 })
  expect((await readColumns(db, probes[1], 0, NOW)).tempC![0]).toBe(5)
})

test('what must be asked is asked in a sentence, the answer is used, and remembered for the next file of that layout', async () => {
  const { bring, file, deps, houseId } = setUp()
  const ambiguous = (day: number) =>
    `time,temperature (°C)\n${Array.from({ length: 200 }, (_, i) => `0${(i % 2) + 3}/0${day}/2025 ${String(i % 24).padStart(2, '0')}:${String(i % 60).padStart(2, '0')}:00,${20 + (i % 5)}\n`).join('')}`
  const path = file('a.csv', ambiguous(4))
  await expect(bring(path)).rejects.toThrow(/cannot be read before this is answered: .*dateOrder/)
  const answered = await bring(path, { answers: { dateOrder: 'dmy' } })
  expect(answered.state).toBe('stored')
  const next = file('b.csv', ambiguous(5))
  const { look, answers } = await lookAt(deps, { path: next, houseId })
  expect(look).toMatchObject({ ok: true, ready: true })
  expect(answers).toMatchObject({ dateOrder: 'dmy' })
  expect((await bring(next)).state).toBe('stored')
})

test.each([
  ['that is not there', null, /There is no file .*none\.csv\. Upload or name it again\./],
  ['that is empty', '', /none\.csv \(0 bytes\): /],
  ['without any time', 'a,b\nx,y\n', /none\.csv \(8 bytes\): /],
])('a file %s is refused with a sentence, and the list of imports keeps it', async (_, content, sentence) => {
  const { bring, file, folder, db, houseId } = setUp()
  if (content !== null) file('none.csv', content)
  await expect(bring(join(folder, 'none.csv'))).rejects.toThrow(sentence)
  if (content === null) return
  expect(await findImports(db, houseId)).toMatchObject([{ state: 'refused', note: expect.stringMatching(sentence) }])
})

test('local times without a house or a zone are not guessed', async () => {
  const { deps, file, probes } = setUp()
  const path = file('a.csv', HEADER + lines(0, 100))
  const args = { path, probes: { '*': probes[0] } }
  await expect(importFile(deps, args)).rejects.toThrow('name the house, or the zone')
  await expect(importFile(deps, { ...args, houseId: 77 })).rejects.toThrow('There is no house 77.')
  expect(await importFile(deps, { ...args, timeZone: 'America/Chicago' })).toMatchObject({ stored: 100 })
})

test('a job tells its progress in bytes; canceled it keeps and says what is stored; added again it finishes', async () => {
  const { db, deps, folder, houseId, probes } = setUp()
  const path = join(folder, 'long.csv')
  writeSeriesFile(path, 60_000)
  const slow = {
    ...deps,
    intake: {
      ...deps.intake,
      receiveImported: async (...args: Parameters<typeof deps.intake.receiveImported>) => {
        await new Promise((resolve) => setTimeout(resolve, 5))
        return deps.intake.receiveImported(...args)
      },
    },
  }
  const queue = createQueue(db, { kinds: { [IMPORT_KIND]: importHandler(slow) }, now: Date.now, pollMs: 20 })
  onTestFinished(() => queue.stop())
  queue.start()
  const args: ImportArgs = { path, houseId, probes: { '*': probes[0] } }
  const { jobId, importId } = await addImportJob({ ...deps, queue }, args)
  let seen = await queue.find(jobId)
  while (!seen || seen.done === 0) {
    await new Promise((resolve) => setTimeout(resolve, 5))
    seen = await queue.find(jobId)
    if (seen?.finishedAt != null)
      throw new Error(`it ended as ${seen.state} before it could be canceled: ${seen.message}`)
  }
  expect(seen.total).toBe(readFileSync(path).length)
  expect(seen.message).toMatch(/^[\d,]+ readings$/)
  await queue.cancel(jobId)
  const canceled = await queue.ended(jobId)
  expect(canceled.state).toBe('canceled')
  const kept = dump(db).length
  expect(kept).toBeGreaterThan(0)
  expect(kept).toBeLessThan(60_000)
  expect(await findImport(db, importId)).toMatchObject({
    state: 'canceled',
    stored: kept,
    note: `Canceled: ${kept.toLocaleString('en-US')} readings were stored before and are kept. Import the file again to finish it.`,
  })

  const again = await addImportJob({ ...deps, queue }, args)
  expect((await queue.ended(again.jobId)).state).toBe('done')
  expect(await findImport(db, again.importId)).toMatchObject({ state: 'stored', stored: 60_000 - kept, repeated: kept })
  expect(dump(db)).toHaveLength(60_000)
})

test('stopping the program in the middle gives the job back, and it ends under the same import number', async () => {
  const { db, deps, folder, houseId, probes } = setUp()
  const path = join(folder, 'long.csv')
  writeSeriesFile(path, 60_000)
  const kinds = { [IMPORT_KIND]: importHandler(deps) }
  const first = createQueue(db, { kinds, now: Date.now, pollMs: 20 })
  first.start()
  const { jobId, importId } = await addImportJob(
    { ...deps, queue: first },
    { path, houseId, probes: { '*': probes[0] } },
  )
  while (dump(db).length === 0) await new Promise((resolve) => setTimeout(resolve, 2))
  await first.stop()
  const kept = dump(db).length
  expect(await first.find(jobId)).toMatchObject({ state: 'waiting' })
  expect(kept).toBeLessThan(60_000)
  const second = createQueue(db, { kinds, now: Date.now, pollMs: 20 })
  onTestFinished(() => second.stop())
  second.start()
  expect((await second.ended(jobId)).state).toBe('done')
  const row = await findImport(db, importId)
  expect(row).toMatchObject({ state: 'stored', stored: 60_000 - kept, repeated: kept })
  expect(row!.note).toContain(`Taken up again after a stop: ${kept.toLocaleString('en-US')} readings had been stored`)
})

test('a full disk fails the job with a sentence; what was acknowledged stays, and with room the file is finished', async () => {
  const db = scratchDatabase({ maxPages: 150 })
  const { deps, folder, houseId, probes } = setUp(db)
  const path = join(folder, 'long.csv')
  writeSeriesFile(path, 60_000)
  const queue = createQueue(db, { kinds: { [IMPORT_KIND]: importHandler(deps) }, now: Date.now, pollMs: 20 })
  onTestFinished(() => queue.stop())
  queue.start()
  const args: ImportArgs = { path, houseId, probes: { '*': probes[0] } }
  const full = await addImportJob({ ...deps, queue }, args)
  const job = await queue.ended(full.jobId)
  expect(job.state).toBe('failed')
  expect(job.message).toMatch(/The disk with the database is full.* Free some space and send them again/)
  const acknowledged = (await findImport(db, full.importId))!.stored
  expect(acknowledged).toBeGreaterThan(0)
  const reader = openDatabase(db.path, { readOnly: true })
  expect(dump(reader)).toHaveLength(acknowledged)
  reader.close()
  db.raw.pragma('max_page_count = 1000000')
  const again = await addImportJob({ ...deps, queue }, args)
  expect((await queue.ended(again.jobId)).state).toBe('done')
  expect(dump(db)).toHaveLength(60_000)
})

test('two imports at once into the same probe meet in one series', async () => {
  const { db, bring, file } = setUp()
  const paths = [file('a.csv', HEADER + lines(0, 3000)), file('b.csv', HEADER + lines(2000, 5000))]
  const results = await Promise.all(paths.map((path) => bring(path)))
  expect(results.reduce((sum, r) => sum + r.stored, 0)).toBe(5000)
  expect(results.reduce((sum, r) => sum + r.repeated, 0)).toBe(1000)
  expect(dump(db)).toHaveLength(5000)
})
