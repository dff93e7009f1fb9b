import { cpSync, existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { basename, join, resolve } from 'node:path'
import { gunzipSync } from 'node:zlib'
import { expect, test } from 'vitest'
import { thresholds } from '../../server/advice/thresholds.ts'
import { recordEvents } from '../../server/study/recordEvents.ts'
import { scratchFolder } from '../support/database.ts'
import { DAY } from '../support/series.ts'
import { readCaseFolder } from './caseFolder.ts'
import { workOf } from './caseWorks.ts'
import { MADE_LOGGERS, MADE_START, writeMadeCase } from './madeCase.ts'
import { runCases } from './run.ts'
import { bringIn, withScratchDatabase } from './runHouse.ts'

const run = async (...argv: string[]) => {
  let [out, err] = ['', '']
  const code = await runCases(argv, { terminal: false, out: (text) => (out += text), err: (text) => (err += text) })
  return { code, out, err }
}

const SIX_DAYS = { from: MADE_START + 20 * DAY, to: MADE_START + 26 * DAY }

test('a case goes through importer, store and analyses; one that fails is left out, one that lacks much is answered as far as it goes', async () => {
  const folder = scratchFolder()
  writeMadeCase(join(folder, '21-made'), {
    events: { interventions: [{ id: 'iv 1', date: '2024-05-19', kind: 'vents_sealed' }] },
    silent: (logger, at) => logger === 'Vent #2' && at >= SIX_DAYS.from && at < SIX_DAYS.to,
  })
  cpSync(join(folder, '21-made'), join(folder, '22-broken'), { recursive: true })
  writeFileSync(join(folder, '22-broken', 'outdoor.csv'), 'nothing to read here')
  writeFileSync(join(folder, '21-made', 'truth.json'), 'nobody may read this')

  writeMadeCase(join(folder, '23-bare'), {
    events: {},
    house: { crawlSpace: undefined, vents: undefined, outdoor: null, rain: undefined, loggers: undefined },
  })
  const bare = (file: string) => join(folder, '23-bare', file)
  for (const i of [0, 1]) cpSync(bare(`logger-${i}.csv.gz`), bare(`readings-l${i}.csv.gz`))

  const { code, out, err } = await run(folder, '--time')
  expect(code).toBe(1)
  expect(err).toContain('22-broken failed and is left out: outdoor.csv')
  expect(err).toMatch(/21-made: import \d+\.\d s, analysis \d+\.\d s/)
  const { scenarios } = JSON.parse(out)
  expect(Object.keys(scenarios)).toEqual(['21-made', '23-bare'])
  expect(err).toContain('23-bare: Nothing is known of the outdoor air')
  expect(scenarios['23-bare']).toEqual({ effects: [], events: [] })
  const answers = scenarios['21-made']
  expect(answers.events).toContainEqual({
    type: 'sensor_gap',
    date: new Date(SIX_DAYS.from).toISOString(),
    logger: 'Vent #2',
  })
  expect(answers.effects).toHaveLength(1)
  expect(answers.effects[0].intervention).toBe('iv 1')
  const { low, mid, high } = answers.effects[0].deltaHumidityRatio_gkg
  expect(low).toBeLessThan(mid)
  expect(mid).toBeLessThan(high)
  for (const basis of ['sourcesByPeriod', 'sourcesToHoldByPeriod']) {
    expect(Object.keys(answers[basis])).toEqual(['P0', 'P1'])
    const sum = (Object.values(answers[basis].P0) as number[]).reduce((a, b) => a + b, 0)
    expect(Math.abs(sum - 100)).toBeLessThan(15) // middles of shares, so their sum is near 100 and not exactly it
  }
})

test('a wrong command says how it is used and prints nothing on stdout', async () => {
  const folder = scratchFolder()
  expect(await run()).toMatchObject({ code: 2, out: '' })
  expect(await run('--nonsense', folder)).toMatchObject({ code: 2, out: '' })
  expect((await run(folder)).err).toContain('No house folder')
})

test('the folder becomes the house a contractor would have entered', () => {
  const folder = join(scratchFolder(), '07 Made')
  writeMadeCase(folder, {
    events: { observations: [{ date: '2024-05-03', kind: 'wood_moisture_reading', place: 'joist', value_pct: 19 }] },
    house: { dehumidifierAtStart: { rated_Lday: 33, setpoint_pct: 50 }, groundCoverAtStart: { share_pct: 30 } },
  })
  const { tree, files, loggerIds } = readCaseFolder(folder)
  expect(tree).toMatchObject({
    key: '07-made',
    facts: { dehumidifierAtStart: { ratedLPerDay: 33, setPointRhPct: 50 } },
  })
  expect(tree.spaces[0]).toMatchObject({ ventState: 'open', kind: 'vented', groundCoverSharePct: 30 })
  expect(tree.spaces[0]!.floorAreaM2).toBeCloseTo(130.06, 1)
  expect([...loggerIds.values()]).toEqual([...MADE_LOGGERS, 'outdoor'])
  expect(files.map(({ path }) => basename(path))).toEqual([
    'logger-0.csv.gz',
    'logger-1.csv.gz',
    'logger-2.csv.gz',
    'outdoor.csv',
    'rain.csv',
  ])
  expect(tree.surveys).toHaveLength(1)
})

test.each([
  ['vents_sealed', '', 'vents sealed', undefined],
  ['vents_reopened', '', 'vents opened', undefined],
  ['ground_cover', 'Old ground cover and its drain mat replaced', 'ground cover', undefined],
  ['downspout_drains', 'Buried drain pipes', 'downspout drain', undefined],
  ['perimeter_drain', '', 'footing drain', undefined],
  ['leak_repair', '', 'repair', undefined],
  ['encapsulation', 'Full liner, vents sealed, no dehumidifier', 'encapsulation', undefined],
  ['encapsulation', 'Full liner and a dehumidifier', 'encapsulation', ['encapsulation', 'dehumidifier']],
  ['dehumidifier_removed', '', 'other', undefined],
  [
    'combined',
    'Downspout drains, ground cover and vents closed; dehumidifier started',
    'other',
    ['vents sealed', 'ground cover', 'downspout drain', 'dehumidifier'],
  ],
])('a work of kind %s (%s) is entered as %s', (kind, note, entered, parts) => {
  const work = workOf({ date: '2024-05-25', kind, note }, 'iv1')
  expect(work.kind).toBe(entered)
  expect(work.details?.parts).toEqual(parts)
})

/** Lines that begin like a row: with a date, or a count and a date. */
const dataRows = (path: string): number =>
  gunzipSync(readFileSync(path))
    .toString('utf8')
    .split('\n')
    .filter((line) => /^(?:"\d+",")?\d+[-/.]\d+[-/.]\d+/.test(line)).length

const CASES = resolve(import.meta.dirname, '../../../shared/cases')
const REAL = join(CASES, '05-no-change-dry-autumn')
if (!existsSync(REAL)) console.warn('The shared cases are not here: their import is not tested.')

test.runIf(existsSync(REAL))('every row of a shared case arrives, none refused, and no sensor is accused', async () => {
  await withScratchDatabase(async (db) => {
    const { house, found, imported } = await bringIn(db, REAL)
    expect(imported).toHaveLength(readdirSync(REAL).filter((file) => file.endsWith('.csv.gz')).length)
    for (const { path, stored, repeated, refused, differs } of imported) {
      expect({ path, refused, differs }).toEqual({ path, refused: 0, differs: 0 })
      expect(stored + repeated).toBe(dataRows(path))
    }
    expect(found.missing).toEqual([])
    expect(recordEvents(house, thresholds())).toEqual([])
  })
})
