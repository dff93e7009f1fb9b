import { expect, test } from 'vitest'
import { createIntake } from '../../server/ingest/intake.ts'
import { csvCell, receiptCsv } from '../../server/ingest/receiptCsv.ts'
import { addImport, type ImportLine } from '../../server/store/imports.ts'
import { addProbes, scratchDatabase } from '../support/database.ts'

const refusedLine = (line: number, text: string): ImportLine => ({
  line,
  outcome: 'refused',
  problem: `line ${line} has no time`,
  fix: 'Correct the line.',
  text,
})

test('a receipt names each line in the order of the file, whatever order and number they came in', async () => {
  const db = scratchDatabase()
  const [probe] = addProbes(db, 1) as [number]
  const intake = createIntake(db, { now: () => Date.UTC(2026, 0, 1) })
  const importId = await addImport(db, { houseId: null, fileName: 'a.csv', fileBytes: 1, startedAt: 0 })
  const unreadable = Array.from({ length: 2500 }, (_, i) => refusedLine(3000 - i, 'x, "y"'))
  await intake.receiveImported(importId, [], unreadable)
  const rows = { at: Float64Array.of(Date.UTC(2025, 0, 1)), tempC: Float64Array.of(500), rhPct: Float64Array.of(300) }
  const counts = await intake.receiveImported(
    importId,
    [{ probeId: probe, columns: rows, lines: Uint32Array.of(7) }],
    [],
  )
  expect(counts).toEqual({ stored: 0, repeated: 0, filled: 0, differs: 0, refused: 2 })

  let text = ''
  for await (const piece of receiptCsv(db, importId)) text += piece
  const lines = text.trimEnd().split('\r\n')
  expect(lines[0]).toBe('line,outcome,problem,fix,text')
  expect(lines).toHaveLength(1 + 2502)
  const numbers = lines.slice(1).map((line) => Number.parseInt(line, 10))
  expect(numbers).toEqual([...numbers].sort((a, b) => a - b))
  expect(lines[1]).toContain('7,refused,"air temperature is 500, expected -60 to 90 °C."')
  expect(lines[2]).toContain('7,refused,"relative humidity over water is 300, expected 0 to 100 %."')
  expect(lines[3]).toBe('501,refused,line 501 has no time,Correct the line.,"x, ""y"""')
})

test.each([
  ['=1+2', "'=1+2"],
  ['@sum', "'@sum"],
  ['-cmd', "'-cmd"],
  ['-12.5', '-12.5'],
  ['a,b', '"a,b"'],
  ['plain', 'plain'],
])('the cell %s of a stranger’s file is written as %s: it never runs as a formula', (cell, written) => {
  expect(csvCell(cell)).toBe(written)
})
