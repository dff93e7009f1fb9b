import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { resolve } from 'node:path'
import { expect, test } from 'vitest'
import { QUANTITY_NAMES } from '../../server/series/quantities.ts'
import { DOCUMENTS, withGeneratedParts } from './generated.ts'

const ROOT = resolve(import.meta.dirname, '../..')
const readme = readFileSync(resolve(ROOT, 'README.md'), 'utf8')
const developers = readFileSync(resolve(ROOT, 'DEVELOPERS.md'), 'utf8')
const scripts = JSON.parse(readFileSync(resolve(ROOT, 'package.json'), 'utf8')).scripts as Record<string, string>

test.each(Object.keys(DOCUMENTS))('the parts of %s that are made from the code are current (npm run docs)', (path) => {
  expect(withGeneratedParts(path)).toBe(readFileSync(path, 'utf8'))
})

const security = developers.slice(developers.indexOf('## Security'), developers.indexOf('## Error codes'))

test('every file that the chapter on security names is there', () => {
  const named = [...security.matchAll(/`((?:server|tests|web)(?:\/[\w./-]+)?|[\w-]+\.(?:md|json))`/g)].map(
    ([, path]) => path!,
  )
  expect(named.length).toBeGreaterThan(50)
  expect(named.filter((path) => !existsSync(resolve(ROOT, path)))).toEqual([])
})

test('the chapter on security says of each requirement where it is met, or that it is not', () => {
  const rows = [...security.matchAll(/^\| ([\d., to()]+) \| (.+) \| (.*) \| (.*) \|$/gm)]
  expect(rows.length).toBeGreaterThan(40)
  const bare = rows.filter(([, , how, where, tested]) => {
    const owned = /\*\*(?:not met|partly)\*\*/.test(how!)
    return !owned && (where!.trim() === '' || (tested!.trim() === '' && !UNTESTED.includes(where!.trim())))
  })
  expect(bare.map(([row]) => row)).toEqual([])
})

/** What cannot be tested but by reading. */
const UNTESTED = ['`package-lock.json`', '`web/base/person.ts`', '`server/http/app.ts`']

test.each(QUANTITY_NAMES)('DEVELOPERS.md names the quantity %s', (name) => {
  expect(developers).toContain(`\`${name}\``)
})

test('every npm script that README and DEVELOPERS.md name exists', () => {
  const named = [...`${readme}${developers}`.matchAll(/npm run (?:-s )?([\w:]+)/g)].map((match) => match[1]!)
  expect(named.length).toBeGreaterThan(5)
  expect(named.filter((name) => !(name in scripts))).toEqual([])
})

test('every command that README shows exists', () => {
  const named = [...readme.matchAll(/run -s underjoist -- (\w+)/g)].map((match) => match[1]!)
  const files = readdirSync(resolve(ROOT, 'server/cli/commands')).map((name) =>
    readFileSync(resolve(ROOT, 'server/cli/commands', name), 'utf8'),
  )
  expect(named.length).toBeGreaterThan(4)
  expect(named.filter((name) => !files.some((text) => text.includes(`name: '${name}'`)))).toEqual([])
})

test('the top level holds what the layout agreed on and nothing else', () => {
  for (const name of ['README.md', 'DEVELOPERS.md', 'package.json', 'server', 'tests', 'migrations', 'demo-data']) {
    expect(existsSync(resolve(ROOT, name)), name).toBe(true)
  }
})
