import { expect, test } from 'vitest'
import type { RecordAnswer } from '../../../server/http/contract/record.ts'
import { recordRows } from '../../../web/record/table.ts'

const record = (mean: (number | null)[], mm: (number | null)[] | null): RecordAnswer => {
  const at = mean.map((_, i) => i * 10)
  return {
    show: 'tempC',
    from: 0,
    to: mean.length * 10,
    recordFrom: 0,
    recordTo: mean.length * 10,
    bucketMs: 10,
    at,
    lines: [{ spot: 'crawl/a', letter: 'A', name: 'a', role: 'inside', basis: 'measured', min: mean, mean, max: mean }],
    rain: mm && { bucketMs: 10, at, mm },
    leftOut: [],
    thresholds: [],
  }
}

test('rows join buckets: means of what is known, rain summed, the last row ends with the span', () => {
  const rows = recordRows(record([1, 3, null, 5, 7], [0, 2, null, 1, null]), 3)
  expect(rows).toEqual([
    { from: 0, to: 20, means: [2], rainMm: 2 },
    { from: 20, to: 40, means: [5], rainMm: 1 },
    { from: 40, to: 50, means: [7], rainMm: null },
  ])
})

test('a row without any value says so, and rain that is not known is not zero', () => {
  expect(recordRows(record([null, null], null), 1)).toEqual([{ from: 0, to: 20, means: [null], rainMm: null }])
})
