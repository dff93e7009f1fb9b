/** The path of a QR code covers just the dark modules, and those hold what was written. */
import qrcode from 'qrcode-generator'
import { expect, test } from 'vitest'
import { modulesPath, QUIET, qrOf } from '../../../web/loggers/qr.ts'

/** Fills what a path encloses, as a browser would: runs of "M x y h n v1 H x z". */
function filled(path: string): Set<string> {
  const cells = new Set<string>()
  let length = 0
  for (const [whole, x, y, width, back] of path.matchAll(/M(\d+) (\d+)h(\d+)v1H(\d+)z/g)) {
    expect(back).toBe(x)
    length += whole.length
    for (let i = 0; i < Number(width); i++) {
      const cell = `${Number(x) + i} ${y}`
      expect(cells.has(cell)).toBe(false)
      cells.add(cell)
    }
  }
  expect(length).toBe(path.length)
  return cells
}

test('runs of a row are joined, rows are not', () => {
  const rows = ['##.#', '....', '####', '.#..']
  const path = modulesPath(4, (row, column) => rows[row]![column] === '#')
  expect(path).toBe('M4 4h2v1H4zM7 4h1v1H7zM4 6h4v1H4zM5 7h1v1H5z')
  expect(filled(path).size).toBe(8)
})

test('every dark module of the code of an address is filled, nothing else, with white all about', () => {
  const address = 'http://127.0.0.1:8484/loggers/logger-k7m4x'
  const { size, path } = qrOf(address)
  const code = qrcode(0, 'M')
  code.addData(address)
  code.make()
  const count = code.getModuleCount()
  expect(size).toBe(count + 8)
  const cells = filled(path)
  for (let row = 0; row < size; row++) {
    for (let column = 0; column < size; column++) {
      const inside = [row, column].every((n) => n >= QUIET && n < size - QUIET)
      const dark = inside && code.isDark(row - QUIET, column - QUIET)
      expect(cells.has(`${column} ${row}`)).toBe(dark)
    }
  }
})

// ISO/IEC 18004, 6.3.3: three finder patterns of 7 modules, dark 1:1:3:1:1; from memory.
test('the three finder patterns stand where readers look for them', () => {
  const { size, path } = qrOf('K7M4X')
  const cells = filled(path)
  const line = (x: number, y: number) =>
    Array.from({ length: 7 }, (_, i) => (cells.has(`${x + i} ${y}`) ? '#' : '.')).join('')
  for (const [x, y] of [
    [QUIET, QUIET],
    [size - QUIET - 7, QUIET],
    [QUIET, size - QUIET - 7],
  ] as const) {
    expect([0, 1, 2, 3, 4, 5, 6].map((i) => line(x, y + i))).toEqual([
      '#######',
      '#.....#',
      '#.###.#',
      '#.###.#',
      '#.###.#',
      '#.....#',
      '#######',
    ])
  }
})
