import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { resolve } from 'node:path'
import { expect, test } from 'vitest'
import { QUANTITY_NAMES } from '../../server/series/quantities.ts'
import { DEVELOPERS, developersWithGeneratedParts } from './generated.ts'

const ROOT = resolve(import.meta.dirname, '../..')
const readme = readFileSync(resolve(ROOT, 'README.md'), 'utf8')
const developers = readFileSync(DEVELOPERS, 'utf8')
const scripts = JSON.parse(readFileSync(resolve(ROOT, 'package.json'), 'utf8')).scripts as Record<string, string>

test('the parts of DEVELOPERS.md that are made from the code are current (npm run docs)', () => {
  expect(developersWithGeneratedParts()).toBe(developers)
})

test.each(QUANTITY_NAMES)('DEVELOPERS.md names the quantity %s', (name) => {
  expect(developers).toContain(`\`${name}\``)
})

test('every npm script that README and DEVELOPERS.md name exists', () => {
  const named = [...`${readme}${developers}`.matchAll(/npm run (?:-s )?([\w:]+)/g)].map((match) => match[1]!)
  expect(named.length).toBeGreaterThan(5)
  expect(named.filter((name) => !(name in scripts))).toEqual([])
})

test('every command that README shows exists', () => {
  const named = [...readme.matchAll(/underjoist -- (\w+)/g)].map((match) => match[1]!)
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
