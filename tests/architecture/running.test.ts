/** Nothing that comes from outside can become a program: none is started, and no text is run as code. */
import { readdirSync, readFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { expect, test } from 'vitest'

const ROOT = resolve(import.meta.dirname, '../..')
const WAYS = {
  'another program is started': /['"](?:node:)?child_process['"]/,
  'text is run as code': /\beval\(|\bnew Function\(|['"](?:node:)?vm['"]/,
  'text becomes markup': /dangerouslySetInnerHTML|\.(?:inner|outer)HTML\s*=|insertAdjacentHTML|document\.write\(/,
}

const files = ['server', 'web'].flatMap((folder) =>
  readdirSync(join(ROOT, folder), { recursive: true, encoding: 'utf8' })
    .filter((name) => /\.tsx?$/.test(name))
    .map((name) => join(folder, name)),
)

test.each(Object.entries(WAYS))('nowhere in the service or its pages %s', (_, way) => {
  expect(files.length).toBeGreaterThan(200)
  expect(files.filter((path) => way.test(readFileSync(join(ROOT, path), 'utf8')))).toEqual([])
})
