/** The plan of the house, held against the code: arrows between floors only point down, and never in a circle. */
import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { dirname, join, relative, resolve } from 'node:path'
import { expect, test } from 'vitest'

const ROOT = resolve(import.meta.dirname, '../..')

/** From the ground up; a folder may import those listed in the rows above it here, and nothing on its own row but itself. */
const FLOORS: readonly (readonly string[])[] = [
  ['physics'],
  ['series'],
  ['sizing'],
  ['moisture'],
  ['advice'],
  ['store'],
  ['jobs', 'files', 'people'],
  ['ingest'],
  ['study'],
  ['watch'],
  ['report'],
  ['http'],
  ['cli'],
  ['main.ts', 'cli.ts'],
]
const PURE = ['physics', 'series', 'sizing', 'moisture', 'advice']
const IMPURE = [
  { what: 'a Node module', pattern: /from '(?:node:|fs|net|http|child_process)/ },
  { what: 'the store', pattern: /from '[^']*\/store\// },
  { what: 'a clock', pattern: /\bDate\.now\(|\bnew Date\(\)|\bperformance\.now\(|\bsetTimeout\(|\bsetInterval\(/ },
  { what: 'unseeded chance', pattern: /\bMath\.random\(|\bcrypto\.(?:randomUUID|getRandomValues)\(/ },
  { what: 'the network', pattern: /\bfetch\(/ },
]

interface SourceFile {
  path: string
  text: string
  imports: string[]
}

const filesBelow = (folder: string): string[] =>
  existsSync(folder)
    ? readdirSync(folder, { recursive: true, encoding: 'utf8' })
        .filter((name) => /\.tsx?$/.test(name))
        .map((name) => join(folder, name))
    : []

const IMPORT = /(?:from|import)\s*\(?\s*'(\.{1,2}\/[^']+)'|new URL\('(\.{1,2}\/[^']+\.ts)'/g

function read(folder: string): SourceFile[] {
  return filesBelow(join(ROOT, folder)).map((path) => {
    const text = readFileSync(path, 'utf8')
    const imports = [...text.matchAll(IMPORT)].map((match) => resolve(dirname(path), (match[1] ?? match[2])!))
    return { path, text, imports }
  })
}

const server = read('server')
const floorOf = (path: string): number => {
  const room = relative(join(ROOT, 'server'), path).split('/')[0]!
  return FLOORS.findIndex((floor) => floor.includes(room))
}
const roomOf = (path: string) => relative(join(ROOT, 'server'), path).split('/')[0]!
const name = (path: string) => relative(ROOT, path)

test('there is something to look at', () => {
  expect(server.length).toBeGreaterThan(20)
  expect(server.flatMap((file) => file.imports).length).toBeGreaterThan(40)
})

test('every folder of server/ stands on a floor of the plan', () => {
  expect(server.filter((file) => floorOf(file.path) < 0).map((file) => name(file.path))).toEqual([])
})

test('no arrow points up, or sideways into another room of the same floor', () => {
  const wrong = server.flatMap((file) =>
    file.imports
      .filter((target) => target.startsWith(join(ROOT, 'server')))
      .filter(
        (target) =>
          floorOf(target) > floorOf(file.path) ||
          (floorOf(target) === floorOf(file.path) && roomOf(target) !== roomOf(file.path)),
      )
      .map((target) => `${name(file.path)} → ${name(target)}`),
  )
  expect(wrong).toEqual([])
})

test('watch reads rows and does not call study', () => {
  const wrong = server.filter(
    (file) => roomOf(file.path) === 'watch' && file.imports.some((target) => roomOf(target) === 'study'),
  )
  expect(wrong.map((file) => name(file.path))).toEqual([])
})

test('no file imports itself through others', () => {
  const arrows = new Map([...server, ...read('web')].map((file) => [file.path, file.imports]))
  const circles: string[] = []
  const done = new Set<string>()
  const walk = (path: string, trail: string[]): void => {
    const seen = trail.indexOf(path)
    if (seen >= 0) {
      circles.push([...trail.slice(seen), path].map(name).join(' → '))
      return
    }
    if (done.has(path)) return
    for (const target of arrows.get(path) ?? []) walk(target, [...trail, path])
    done.add(path)
  }
  for (const path of arrows.keys()) walk(path, [])
  expect(circles).toEqual([])
})

test('the folders of the science are pure: no file, network, clock, chance or database', () => {
  const wrong = server
    .filter((file) => PURE.includes(roomOf(file.path)))
    .flatMap((file) =>
      IMPURE.filter(({ pattern }) => pattern.test(file.text)).map(({ what }) => `${name(file.path)} uses ${what}`),
    )
  expect(wrong).toEqual([])
})

test('physics imports nothing from elsewhere', () => {
  const packages = /from '(?!\.\.?\/)([^']+)'/g
  const wrong = server
    .filter((file) => roomOf(file.path) === 'physics')
    .flatMap((file) => [...file.text.matchAll(packages)].map((match) => `${name(file.path)} → ${match[1]}`))
  expect(wrong).toEqual([])
})

test('only the store speaks SQL', () => {
  const wrong = server.filter(
    (file) => roomOf(file.path) !== 'store' && /from '(?:better-sqlite3|drizzle-orm)/.test(file.text),
  )
  expect(wrong.map((file) => name(file.path))).toEqual([])
})

test('web imports nothing of the server but the contract', () => {
  const allowed = join(ROOT, 'server/http/contract')
  const wrong = read('web').flatMap((file) =>
    file.imports
      .filter((target) => target.startsWith(join(ROOT, 'server')) && !target.startsWith(allowed))
      .map((target) => `${name(file.path)} → ${name(target)}`),
  )
  expect(wrong).toEqual([])
})

test('web takes values from the words of the contract alone: schemas and their library stay out of the bundle', () => {
  const values = /import (?!type)[^;]*?from '([^']*http\/contract\/[^']+)'/g
  const wrong = read('web').flatMap((file) =>
    [...file.text.matchAll(values)]
      .filter((match) => !match[1]!.endsWith('/words.ts') && !/import type/.test(match[0]))
      .map((match) => `${name(file.path)} → ${match[1]}`),
  )
  expect(wrong).toEqual([])
})

test('the generator of the demo house shares no code with the analysis', () => {
  const wrong = read('demo-data').flatMap((file) =>
    file.imports
      .filter((target) => target.startsWith(join(ROOT, 'server')))
      .map((target) => `${name(file.path)} → ${name(target)}`),
  )
  expect(wrong).toEqual([])
})
