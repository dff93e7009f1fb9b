/** Lines of text that fit a terminal and a printed page: wrapped sentences and plain tables. */

export const WIDTH = 100

/** Breaks a line between words; what follows is indented. */
export function wrapped(text: string, indent = ''): string[] {
  const lines: string[] = []
  let line = text.match(/^ */)![0]
  for (const word of text.trim().split(' ')) {
    if (line.trim() !== '' && line.length + 1 + word.length > WIDTH) {
      lines.push(line)
      line = `${indent}${word}`
    } else line = line.trim() === '' ? line + word : `${line} ${word}`
  }
  return [...lines, line]
}

/** Columns as wide as their widest cell, the first to the left, numbers to the right; two spaces between. */
export function table(rows: readonly (readonly string[])[], indent = '  '): string[] {
  const columns = Math.max(0, ...rows.map((row) => row.length))
  const widths = Array.from({ length: columns }, (_, c) => Math.max(...rows.map((row) => (row[c] ?? '').length)))
  return rows.map((row) => {
    const cells = widths.map((width, c) => (c === 0 ? (row[c] ?? '').padEnd(width) : (row[c] ?? '').padStart(width)))
    return `${indent}${cells.join('  ')}`.trimEnd()
  })
}
