/** `balance` and `whatif` as a person at the keyboard meets them. */
import { spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { parseColdSurface } from '../../server/cli/coldSurfaceWords.ts'
import { UsageError } from '../../server/cli/command.ts'
import { parseRemedy } from '../../server/cli/remedyWords.ts'
import { openDatabase } from '../../server/store/open.ts'
import { BALANCE_HOUSE, storeBalanceHouse } from '../support/balanceHouse.ts'

const ROOT = resolve(import.meta.dirname, '../..')
const KEY = BALANCE_HOUSE.key
const folder = mkdtempSync(join(tmpdir(), 'underjoist-balance-'))
const database = join(folder, 'cli.db')

function underjoist(...args: string[]) {
  const run = spawnSync(process.execPath, ['--import', 'tsx', 'server/cli.ts', ...args], {
    cwd: ROOT,
    encoding: 'utf8',
    env: { ...process.env, UNDERJOIST_DB: database },
  })
  return { code: run.status, out: run.stdout, err: run.stderr }
}

beforeAll(async () => {
  const db = openDatabase(database)
  await storeBalanceHouse(db)
  db.close()
})
afterAll(() => rmSync(folder, { recursive: true }))

test('the balance is a page that leads with the verdict, and the same answer again as JSON', () => {
  const page = underjoist('balance', KEY)
  expect(page).toMatchObject({ code: 0, err: '' })
  const order = [
    'Did the work do it',
    ': drier.',
    'Where the water comes from',
    'What it would take',
    'What it rests on',
  ]
  const places = order.map((words) => page.out.indexOf(words))
  expect(places.every((place) => place > 0)).toBe(true)
  expect([...places].sort((a, b) => a - b)).toEqual(places)
  expect(page.out).toContain('pints')
  expect(JSON.parse(underjoist('balance', KEY, '--json').out)).toMatchObject({
    outcome: 'told',
    effects: [{ verdict: 'drier' }],
  })
}, 60_000)

test('a held remedy says so before anything else, in JSON too', () => {
  const page = underjoist('whatif', KEY, '--remedy', 'vents sealed', '--remedy', 'dehumidifier:70pints,50%')
  expect(page).toMatchObject({ code: 0, err: '' })
  expect(page.out.indexOf('Vents sealed. Held: record this first.')).toBeGreaterThan(0)
  expect(page.out.indexOf('Vents sealed. Held')).toBeLessThan(
    page.out.indexOf('What if: vents sealed and dehumidifier'),
  )
  expect(page.out).toContain('rated 70 pints a day')
  const words = [
    '--remedy',
    'encapsulation',
    '--remedy',
    'dehumidifier',
    '--cold-surface',
    'pipe:54F',
    '--price',
    '0.2',
  ]
  const json = JSON.parse(underjoist('whatif', KEY, ...words, '--json').out)
  expect(json.held.reason).toContain('flood hazard zone')
  expect(json.condensation.surface).toBe('pipe')
  expect(json.costs.after.mid).toBeCloseTo(json.machine.after.kwh.mid * 0.2, 9)
}, 60_000)

test.each([
  [['balance', 'nobody'], 3, 'no house "nobody"'],
  [['whatif', KEY], 2, '--remedy is missing'],
  [['whatif', KEY, '--remedy', 'ground cover', '--price', 'cheap'], 2, '--price takes dollars for a kWh'],
  [['whatif', KEY, '--remedy', 'ground cover', '--year', 'nowhere.epw'], 3, 'no file nowhere.epw'],
])(
  '%j ends with %d and a sentence',
  (args, code, sentence) => {
    expect(underjoist(...args)).toMatchObject({ code, err: expect.stringContaining(sentence) })
  },
  30_000,
)

test.each([
  ['vents sealed', { kind: 'vents sealed' }],
  ['Encapsulation', { kind: 'encapsulation' }],
  ['dehumidifier:33', { kind: 'dehumidifier', details: { ratedLPerDay: 33 } }],
  ['dehumidifier: 50 L, 55%', { kind: 'dehumidifier', details: { ratedLPerDay: 50, setRhPct: 55 } }],
  [
    'dehumidifier:33,65F,2.1L/kWh',
    { kind: 'dehumidifier', details: { ratedLPerDay: 33, ratingBasis: '65 °F', litersPerKwh: 2.1 } },
  ],
  ['ground cover:95%', { kind: 'ground cover', details: { coverShareAfter: 0.95 } }],
  ['vent fan:90', { kind: 'vent fan', details: { fanM3PerHour: 90 } }],
])('the remedy "%s" is understood', (text, remedy) => {
  expect(parseRemedy(text)).toEqual(remedy)
})

test('US sizes are converted: 70 pints are 33.1 L, 100 cfm are 170 m³/h', () => {
  expect(parseRemedy('dehumidifier:70pints').details!.ratedLPerDay).toBeCloseTo(33.12, 2) // 1 US pint = 0.473176 L
  expect(parseRemedy('vent fan:100cfm').details!.fanM3PerHour).toBeCloseTo(169.9, 1) // 1 ft³ = 0.0283168 m³
})

test.each([
  'roof garden',
  'dehumidifier:big',
  'dehumidifier:33kg',
  'ground cover:120%',
  'vents sealed:3',
  'dehumidifier:5%',
  'dehumidifier:33,70F',
  'dehumidifier:33,20L/kWh',
])('the remedy "%s" is refused with what can be said', (text) => {
  expect(() => parseRemedy(text)).toThrow(UsageError)
})

test('a cold surface is so cold itself, or has something cold inside and insulation', () => {
  expect(parseColdSurface('water pipe: 12C')).toEqual({ name: 'water pipe', tempC: 12 })
  expect(parseColdSurface('supply duct:inside 14 °C')).toEqual({ name: 'supply duct', insideTempC: 14 })
  const duct = parseColdSurface('supply duct:inside 55F, R6')
  expect(duct.insideTempC).toBeCloseTo(12.78, 2) // (55 - 32) / 1.8
  expect(duct.insulationM2KPerW).toBeCloseTo(1.057, 3) // R 1 = 0.1761 m²K/W
})

test.each(['pipe', 'pipe:cold', ':12C', 'pipe:12', 'pipe:300F', 'pipe:12C,R6', 'duct:inside 55F,R900'])(
  'the cold surface "%s" is refused with what can be said',
  (text) => {
    expect(() => parseColdSurface(text)).toThrow(UsageError)
  },
)
