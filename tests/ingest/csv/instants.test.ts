// Each way to write a time, read through the whole importer. Expected UTC worked out by hand from the zone's offset.
import { expect, test } from 'vitest'
import type { Answers } from '../../../server/ingest/csv/understanding.ts'
import { readText, utc } from './support/source.ts'

/** Three hourly rows starting with the given time cells; the day over 12 settles the order where it must. */
const WAYS: [string, string, string[], string, Answers?][] = [
  ['ISO with blank', 'time', ['2024-07-14 13:00', '2024-07-14 14:00'], '2024-07-14T17:00:00Z'],
  ['ISO with T and seconds', 'time', ['2024-07-14T13:00:00', '2024-07-14T14:00:00'], '2024-07-14T17:00:00Z'],
  ['ISO with Z', 'time', ['2024-07-14T13:00:00Z', '2024-07-14T14:00:00Z'], '2024-07-14T13:00:00Z'],
  ['ISO with offset', 'time', ['2024-07-14T13:00:00-05:00', '2024-07-14T14:00:00-05:00'], '2024-07-14T18:00:00Z'],
  ['ISO with short offset', 'time', ['2024-07-14T13:00+0200', '2024-07-14T14:00+0200'], '2024-07-14T11:00:00Z'],
  ['milliseconds', 'time', ['2024-07-14 13:00:00.500', '2024-07-14 14:00:00.500'], '2024-07-14T17:00:00.500Z'],
  ['UTC in the header', 'time (UTC)', ['2024-07-14 13:00', '2024-07-14 14:00'], '2024-07-14T13:00:00Z'],
  [
    'GMT-05:00 in the header',
    'Date Time, GMT-05:00',
    ['07/14/24 01:00:00 PM', '07/14/24 02:00:00 PM'],
    '2024-07-14T18:00:00Z',
  ],
  ['UTC+2 in the header', 't_UTC+2', ['2024-07-14 13:00', '2024-07-14 14:00'], '2024-07-14T11:00:00Z'],
  ['month first, AM and PM', 'time', ['7/14/2024 1:00 PM', '7/14/2024 2:00 PM'], '2024-07-14T17:00:00Z'],
  ['noon and midnight', 'time', ['7/14/2024 12:00 AM', '7/14/2024 12:00 PM'], '2024-07-14T04:00:00Z'],
  ['a.m. with dots', 'time', ['7/14/2024 1:00 p.m.', '7/14/2024 2:00 p.m.'], '2024-07-14T17:00:00Z'],
  ['day first with dots', 'Zeit', ['14.07.2024 13:00', '14.07.2024 14:00'], '2024-07-14T17:00:00Z'],
  ['two-digit year', 'time', ['14/07/24 13:00', '14/07/24 14:00'], '2024-07-14T17:00:00Z'],
  ['month as a word', 'time', ['14-Jul-2024 13:00', '14-Jul-2024 14:00'], '2024-07-14T17:00:00Z'],
  ['month word first', 'time', ['July 14 2024 13:00', 'July 14 2024 14:00'], '2024-07-14T17:00:00Z'],
  ['French month', 'heure', ['14 juillet 2024 13:00', '14 juillet 2024 14:00'], '2024-07-14T17:00:00Z'],
  ['Spanish month', 'fecha', ['14 ene 2024 13:00', '14 ene 2024 14:00'], '2024-01-14T18:00:00Z'],
  ['zone letters', 'time', ['2024-07-14 13:00 EST', '2024-07-14 14:00 EST'], '2024-07-14T18:00:00Z'],
  ['epoch seconds', 'timestamp', ['1720962000', '1720965600'], '2024-07-14T13:00:00Z'],
  ['epoch milliseconds', 'ts', ['1720962000000', '1720965600000'], '2024-07-14T13:00:00Z'],
  ['glued', 'time', ['202407141300', '202407141400'], '2024-07-14T17:00:00Z'],
  ['glued with seconds', 'time', ['20240714130000', '20240714140000'], '2024-07-14T17:00:00Z'],
  ['hour 24', 'time', ['07/14/2024 24:00', '07/15/2024 01:00'], '2024-07-15T04:00:00Z'],
  ['answered zone', 'time', ['2024-07-14 13:00', '2024-07-14 14:00'], '2024-07-14T18:00:00Z', { timeZone: '-05:00' }],
  ['answered order', 'time', ['01/02/2024 13:00', '01/02/2024 14:00'], '2024-02-01T18:00:00Z', { dateOrder: 'dmy' }],
]

test.each(WAYS)('%s', async (_, header, cells, expected, answers) => {
  const text = `"${header}";Temp (°C)\n${cells.map((cell, i) => `${cell};${20 + i}`).join('\n')}\n`
  const { probes } = await readText(text, { answers })
  const rows = probes.get('probe')!
  expect(rows).toHaveLength(2)
  expect(new Date(rows[0]!.at).toISOString()).toBe(new Date(utc(expected)).toISOString())
})

test('separate date and time columns, also with dots in the clock', async () => {
  const { probes } = await readText('Date;Time;T (C)\n14/03/2024;18.00.00;1,5\n14/03/2024;19.00.00;1,6\n')
  expect(probes.get('probe')!.map(({ at }) => new Date(at).toISOString())).toEqual([
    '2024-03-14T22:00:00.000Z',
    '2024-03-14T23:00:00.000Z',
  ])
})

test('one column for each part, hours 1 to 24', async () => {
  const { probes } = await readText(
    'year,month,day,hour,temp (C)\n2024,1,31,23,1.5\n2024,1,31,24,1.6\n2024,2,1,1,1.7\n',
    { answers: { timeZone: 'UTC' } },
  )
  expect(probes.get('probe')!.map(({ at }) => at)).toEqual([
    utc('2024-01-31T23:00:00Z'),
    utc('2024-02-01T00:00:00Z'),
    utc('2024-02-01T01:00:00Z'),
  ])
})

test('an offset column counts for its row', async () => {
  const { probes } = await readText(
    'time,UTC offset,temp (C)\n2024-07-14 13:00,-04:00,20\n2024-12-14 13:00,-05:00,21\n2024-12-14 14:00,-05:00,21\n',
  )
  expect(probes.get('probe')!.map(({ at }) => at)).toEqual([
    utc('2024-07-14T17:00:00Z'),
    utc('2024-12-14T18:00:00Z'),
    utc('2024-12-14T19:00:00Z'),
  ])
})

test('a daily sum stands at the end of its local day, also when that day has 23 hours', async () => {
  const { probes, look } = await readText('date,rain (mm)\n2024-03-09,1\n2024-03-10,2\n2024-03-11,3\n')
  expect(probes.get('probe')!.map(({ at }) => at)).toEqual([
    utc('2024-03-10T05:00:00Z'),
    utc('2024-03-11T04:00:00Z'),
    utc('2024-03-12T04:00:00Z'),
  ])
  expect(look.understanding.sentences.join(' ')).toContain('end of its local day')
})

test('rain marked at the start of its span is moved by one step when a person says so', async () => {
  const text = 'time,rain (mm)\n2024-05-01 00:00,1\n2024-05-01 01:00,2\n2024-05-01 02:00,3\n2024-05-01 03:00,0\n'
  const asked = await readText(text)
  expect(asked.look.questions).toMatchObject([{ key: 'sumsMark', assumed: 'end' }])
  const moved = await readText(text, { answers: { sumsMark: 'start' } })
  expect(moved.probes.get('probe')![0]!.at - asked.probes.get('probe')![0]!.at).toBe(3_600_000)
})

test('a date that does not exist is refused with its line', async () => {
  const { refused, probes } = await readText(
    'time,temp (C)\n2024-02-29 01:00,1\n2023-02-29 01:00,2\n2024-03-01 01:00,3\n',
  )
  expect(probes.get('probe')).toHaveLength(2)
  expect(refused).toMatchObject([{ line: 3, text: '2023-02-29 01:00,2' }])
  expect(refused[0]!.reason).toContain('cannot be read as a time')
})
