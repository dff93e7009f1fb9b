/** `underjoist replay` as a program. */
import { spawnSync } from 'node:child_process'
import { existsSync, mkdirSync, writeFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { expect, test } from 'vitest'
import { scratchFolder } from '../support/database.ts'

const ROOT = resolve(import.meta.dirname, '../..')
const HOUR = 3_600_000

function underjoist(database: string, ...args: string[]) {
  const run = spawnSync(process.execPath, ['--import', 'tsx', 'server/cli.ts', ...args], {
    cwd: ROOT,
    encoding: 'utf8',
    env: { ...process.env, UNDERJOIST_DB: database },
  })
  return { code: run.status, out: run.stdout, err: run.stderr }
}

/** A closed space that turns damp on the fifth day of ten. */
function writeHouse(folder: string): void {
  mkdirSync(join(folder, 'readings'), { recursive: true })
  const house = {
    format: 'underjoist house 1',
    key: 'maple',
    name: 'Maple test house',
    invented: true,
    timeZone: 'America/New_York',
    spaces: [
      {
        key: 'crawl',
        name: 'Crawl space',
        role: 'crawl space',
        kind: 'closed',
        spots: [{ key: 'low', name: 'Low corner' }],
      },
    ],
    loggers: [
      {
        key: 'b1',
        probes: [{ key: 'air', placements: [{ spot: 'crawl/low', from: '2024-01-01' }], file: 'readings/b1.air.csv' }],
      },
    ],
  }
  writeFileSync(join(folder, 'house.json'), JSON.stringify(house))
  const rows = Array.from({ length: 240 }, (_, h) => {
    const wobble = ((h * 7) % 5) / 10
    return `${new Date(Date.UTC(2024, 2, 1) + h * HOUR).toISOString()},${15 + wobble},${(h < 96 ? 45 : 80) + wobble}`
  })
  writeFileSync(join(folder, 'readings/b1.air.csv'), `time_utc,temp_c,rh_pct\n${rows.join('\n')}\n`)
}

test('a stored house, all houses and a folder are replayed alike, and nothing is stored of it', () => {
  const scratch = scratchFolder()
  const [database, folder] = [join(scratch, 'a.db'), join(scratch, 'house')]
  writeHouse(folder)
  const ofFolder = underjoist(database, 'replay', '--folder', folder, '--json')
  expect(ofFolder.err).toBe('')
  expect(existsSync(database)).toBe(false)
  const { houses, tally } = JSON.parse(ofFolder.out)
  expect(houses[0].notices.map(({ watch, cause }: { watch: string; cause: string }) => [watch, cause])).toEqual([
    ['damp', 'crawl'],
  ])
  // The 24 h mean passes 65 % fourteen hours after the step from 45 to 80 %.
  expect((houses[0].notices[0].openedAt - Date.UTC(2024, 2, 5)) / HOUR).toBe(14)
  expect(tally.audiences.owner).toMatchObject({ notices: 1, letters: 1, mostIn30Days: 1 })

  expect(underjoist(database, 'load', folder).code).toBe(0)
  expect(JSON.parse(underjoist(database, 'replay', 'maple', '--json').out)).toEqual({ houses, tally })
  expect(underjoist(database, 'replay', '--all').out).toContain('damp at Low corner: soon, since 2024-03-05 14:00')
  // Begun before the span: no news within it but the one that it goes on.
  const later = JSON.parse(underjoist(database, 'replay', 'maple', '--from', '2024-03-08', '--json').out)
  expect(later.tally.watches[0]).toMatchObject({ watch: 'damp', notices: 1, delayH: null })
}, 60_000)

test('what cannot be replayed is said', () => {
  const database = join(scratchFolder(), 'a.db')
  expect(underjoist(database, 'replay')).toMatchObject({ code: 2, err: expect.stringContaining('Name a house') })
  expect(underjoist(database, 'replay', 'nowhere').err).toContain('There is no house "nowhere"')
  expect(underjoist(database, 'replay', '--all').err).toContain('nothing to replay')
}, 60_000)
