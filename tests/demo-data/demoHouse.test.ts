import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { gunzipSync } from 'node:zlib'
import { expect, test } from 'vitest'
import { demoFiles } from '../../demo-data/demoFiles.ts'
import type { demoHouseFile } from '../../demo-data/demoHouseFile.ts'
import { wallClock } from '../../demo-data/generator/wallTime.ts'

const folder = join(import.meta.dirname, '../../demo-data')
const committed = (path: string) => {
  const bytes = readFileSync(join(folder, path))
  return (path.endsWith('.gz') ? gunzipSync(bytes) : bytes).toString('utf8')
}
const house = JSON.parse(committed('house/house.json')) as ReturnType<typeof demoHouseFile>
const truth = JSON.parse(committed('truth.json')) as {
  effects: { works: string[]; verdict: string; change: { humidityRatioGKg: number } }[]
  sources: { entriesKgPerDay: Record<string, number> }[]
}

test('the committed files are what the generator writes', () => {
  const made = demoFiles()
  expect(Object.keys(made)).toHaveLength(9)
  for (const [path, text] of Object.entries(made)) {
    // Compared as a flag: a failing comparison of megabytes of text would print them.
    expect({ path, same: committed(path) === text }).toEqual({ path, same: true })
  }
}, 180_000) // seven runs of twenty simulated months: seconds on an idle machine, a minute on a busy one

test('the generator imports nothing from the service', () => {
  const files = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((name) => name.endsWith('.ts'))
  expect(files.length).toBeGreaterThan(20)
  for (const name of files) {
    const imported = [...readFileSync(join(folder, name), 'utf8').matchAll(/from '([^']+)'/g)].map((m) => m[1]!)
    for (const path of imported) expect(path).toMatch(/^(node:|\.\.?\/)(?!.*server)/)
  }
})

test('the house says that it is invented, and names only files and spots that exist', () => {
  expect(house.invented).toBe(true)
  const spots = house.spaces.flatMap((space) => space.spots.map((spot) => `${space.key}/${spot.key}`))
  const probes = house.loggers.flatMap((logger) => logger.probes.map((p) => ({ ...p, path: `${logger.key}/${p.key}` })))
  for (const probe of probes) {
    expect(existsSync(join(folder, 'house', probe.file))).toBe(true)
    for (const { spot } of probe.placements) expect(spots).toContain(spot)
  }
  for (const { file } of house.stations) expect(existsSync(join(folder, 'house', file))).toBe(true)
  for (const { probe } of house.corrections) expect(probes.map(({ path }) => path)).toContain(probe)
  for (const { readings } of house.surveys) {
    for (const reading of readings) if ('spot' in reading) expect(spots).toContain(reading.spot)
  }
})

test('the story holds: drains dry, lids do nothing, sealing dries, the dehumidifier is on the edge', () => {
  const of = (work: string) => truth.effects.find(({ works }) => works.includes(work))!
  expect(of('downspout-drain')).toBe(of('yard-drain'))
  expect(of('downspout-drain').change.humidityRatioGKg).toBeLessThan(-0.5)
  expect(Math.abs(of('vent-lids').change.humidityRatioGKg)).toBeLessThan(0.1)
  expect(of('vents-sealed').change.humidityRatioGKg).toBeLessThan(-1)
  expect(Math.abs(of('dehumidifier').change.humidityRatioGKg)).toBeLessThan(0.5)
  const [before, drained] = truth.sources
  expect(before!.entriesKgPerDay.rain).toBeGreaterThan(3)
  expect(drained!.entriesKgPerDay.rain).toBeLessThan(0.5)
})

test('wall-time files hold the autumn hour twice and lack the spring hour', () => {
  const rows = committed('house/readings/low-corner.csv.gz').split('\r\n')
  expect(rows.filter((row) => /"11\/02\/2025 01:\d\d:00 AM"/.test(row))).toHaveLength(8)
  expect(rows.filter((row) => /"03\/08\/2026 01:\d\d:00 AM"/.test(row))).toHaveLength(4)
  expect(rows.filter((row) => /"03\/08\/2026 02:\d\d:00 AM"/.test(row))).toHaveLength(0)
  const iso = committed('house/readings/near-vent.csv.gz')
  expect(iso).toContain('2025-11-02T01:45:00-04:00')
  expect(iso).toContain('2025-11-02T01:45:00-05:00')
})

test('the flaws are in the files: a gap, a stuck spell, a dying battery', () => {
  const iso = committed('house/readings/near-vent.csv.gz')
  expect(iso).toContain('2026-02-03T05:00:00')
  expect(iso).not.toMatch(/^2026-02-0[4-9]T/m)
  const stuck = committed('house/readings/low-corner.csv.gz')
    .split('\r\n')
    .filter((row) => row.includes('"08/21/2025'))
    .map((row) => row.split(',').slice(2).join())
  expect(new Set(stuck).size).toBe(1)
  const battery = committed('house/readings/far-corner.csv.gz').split('\n')
  const on = (day: string) => battery.filter((row) => row.startsWith(day))
  expect(on('2026-01-01')).toHaveLength(96)
  expect(on('2026-01-10').length).toBeLessThan(90)
  expect(on('2026-01-18')).toHaveLength(0)
  const volts = (day: string) => Number(on(day)[0]!.split(',')[3])
  expect(volts('2026-01-12')).toBeLessThan(volts('2026-01-01') - 0.15)
  expect(volts('2026-01-24')).toBeGreaterThan(3)
})

// Clock changes of the eastern United States: second Sunday of March, first Sunday of November, at 2 a.m.
test('wall time follows the clock changes', () => {
  const clock = wallClock('America/New_York')
  expect(clock.instantOf('2025-11-02T01:30')).toBe(Date.UTC(2025, 10, 2, 5, 30))
  expect(clock.instantOf('2025-11-02T02:30')).toBe(Date.UTC(2025, 10, 2, 7, 30))
  expect(clock.instantOf('2026-03-08T03:30')).toBe(Date.UTC(2026, 2, 8, 7, 30))
  expect(clock.instantOf('2026-03-08')).toBe(Date.UTC(2026, 2, 8, 5))
  expect(clock.wallTime(Date.UTC(2025, 10, 2, 6, 30))).toMatchObject({ hour: 1, minute: 30, offsetMinutes: -300 })
})
