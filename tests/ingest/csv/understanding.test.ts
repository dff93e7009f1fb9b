// What is settled, what is asked and what is warned about, on small files of each kind.
import { describe, expect, test } from 'vitest'
import { lookAtFile } from '../../../server/ingest/csv/look.ts'
import type { ColumnQuantity, Unit } from '../../../server/ingest/csv/understanding.ts'
import { unitInHeader } from '../../../server/ingest/csv/units.ts'
import { quantityNamed } from '../../../server/ingest/csv/words.ts'
import { vaporPressurePa } from '../../../server/physics/air.ts'
import { CONTEXT, NOW, readText, sourceOf, understood, utc } from './support/source.ts'

const two = (n: number) => String(n).padStart(2, '0')
/** Hourly rows of day `dayOf(i)`. */
const hourly = (head: string, rows: number, cells: (i: number, stamp: string) => string): string =>
  `${head}\n${Array.from({ length: rows }, (_, i) => cells(i, `2024-05-${two(1 + Math.floor(i / 24))} ${two(i % 24)}:00`)).join('\n')}\n`
const codes = (look: { warnings: { code: string }[] }) => look.warnings.map((warning) => warning.code)

describe('date order', () => {
  const days = (dates: string[]) =>
    `time,temp (C)\n${dates.flatMap((date) => Array.from({ length: 24 }, (_, h) => `${date} ${two(h)}:00,${h / 2}`)).join('\n')}\n`

  test('one day of 01/02/2024 is asked, with what each answer means', async () => {
    const look = await understood(sourceOf(days(['01/02/2024'])))
    expect(look.ready).toBe(false)
    const question = look.questions.find((q) => q.key === 'dateOrder')!
    expect(question.assumed).toBeNull()
    expect(question.choices.map((choice) => choice.examples[0]).sort()).toEqual([
      '01/02/2024 00:00 is February 1, 2024',
      '01/02/2024 00:00 is January 2, 2024',
    ])
  })

  test('a day over 12 anywhere settles it', async () => {
    expect((await understood(sourceOf(days(['01/12/2024', '01/13/2024'])))).understanding.time.dateOrder).toBe('mdy')
    expect((await understood(sourceOf(days(['12/01/2024', '13/01/2024'])))).understanding.time.dateOrder).toBe('dmy')
  })

  test('even steps settle it where no day is over 12', async () => {
    const us = await understood(sourceOf(days(['01/02/2024', '01/03/2024', '01/04/2024'])))
    expect([us.understanding.time.dateOrder, us.ready]).toEqual(['mdy', true])
    const europe = await understood(sourceOf(days(['01/02/2024', '02/02/2024', '03/02/2024'])))
    expect([europe.understanding.time.dateOrder, europe.ready]).toEqual(['dmy', true])
  })

  test('a day over 12 far behind the head of a large file settles it', async () => {
    const minutes = (date: string) =>
      Array.from({ length: 1440 }, (_, m) => `${date} ${two(Math.floor(m / 60))}:${two(m % 60)},20.${m % 10}`)
    const head = Array.from({ length: 12 }, () => minutes('05/05/2024')).flat()
    const look = await understood(sourceOf(`time,temp (C)\n${[...head, ...minutes('05/13/2024')].join('\n')}\n`))
    expect([look.understanding.time.dateOrder, look.ready]).toEqual(['mdy', true])
  })

  test('the answer counts', async () => {
    const { probes } = await readText(days(['01/02/2024']), { answers: { dateOrder: 'dmy' } })
    expect(probes.get('probe')![0]!.at).toBe(utc('2024-02-01T05:00:00Z'))
  })
})

describe('units', () => {
  test('a temperature without unit: °F over 60, °C as assumed, asked between', async () => {
    const file = (low: number, high: number) =>
      sourceOf(hourly('time,temperature', 48, (i, at) => `${at},${i % 2 ? low : high}`))
    const f = await understood(file(55, 75))
    expect(f.understanding.columns[1]).toMatchObject({ unit: '°F', unitFrom: 'values' })
    expect(f.questions).toEqual([])
    const c = await understood(file(15, 25))
    expect(c.questions).toMatchObject([{ key: 'columnUnits', assumed: '°C' }])
    const open = await understood(file(30, 50))
    expect(open.questions).toMatchObject([{ key: 'columnUnits', column: 'temperature', assumed: null }])
    expect(open.questions[0]!.choices.find((choice) => choice.value === '°F')!.examples[0]).toBe('50 becomes 10 °C')
    expect(open.ready).toBe(false)
    const answered = await understood(file(30, 50), { answers: { columnUnits: { temperature: '°F' } } })
    expect(answered.ready).toBe(true)
    expect(answered.understanding.probes[0]!.quantities[0]!.max).toBeCloseTo(10, 9)
  })

  test('°F under a °C heading and a fraction under % must be answered', async () => {
    const look = await understood(
      sourceOf(hourly('time,Temp (°C),RH (%)', 48, (i, at) => `${at},${70 + (i % 5)},0.${50 + (i % 40)}`)),
    )
    expect(look.ready).toBe(false)
    expect(look.questions.map((q) => [q.key, q.column])).toEqual([
      ['columnUnits', 'Temp (°C)'],
      ['columnUnits', 'RH (%)'],
    ])
    expect(codes(look)).toContain('outOfClimate')
  })

  test('a fraction without a unit in the header is seen', async () => {
    const { probes } = await readText(hourly('time,humidity', 48, (i, at) => `${at},0.${50 + (i % 40)}`))
    expect(probes.get('probe')![0]!.values.rhPct).toBeCloseTo(50, 9)
  })

  test('units behind the number, kelvin, inches, pounds of nothing', async () => {
    const { probes } = await readText(
      'time,Temperature,Humidity\n2024-05-13 01:00,21.5 °C,65%\n2024-05-13 02:00,22 °C,66 %\n',
    )
    expect(probes.get('probe')![0]!.values).toEqual({ tempC: 21.5, rhPct: 65 })
    const kelvin = await readText('time,temp (K),rain (in)\n2024-05-13 01:00,300.15,0.1\n2024-05-13 02:00,301.15,0\n')
    expect(kelvin.probes.get('probe')![0]!.values.tempC).toBeCloseTo(27, 9)
    expect(kelvin.probes.get('probe')![0]!.values.rainMm).toBeCloseTo(2.54, 9)
  })

  test('a line of units below the header belongs to it', async () => {
    const { probes } = await readText(
      'time,Temperature,RH\nyyyy-mm-dd hh:mm,°F,%\n2024-05-13 01:00,50,55\n2024-05-13 02:00,41,56\n',
    )
    expect(probes.get('probe')![0]!.values).toEqual({ tempC: 10, rhPct: 55 })
  })

  test.each([
    ['Temp (°C)', 'tempC', '°C'],
    ['Temperature, °F', 'tempC', '°F'],
    ['temperature_c', 'tempC', '°C'],
    ['tempF', 'tempC', '°F'],
    ['Rel Hum (%)', 'rhPct', '%'],
    ['Rain [mm/h]', 'rainMm', 'mm'],
    ['Stn Press (kPa)', 'tempC', null],
  ])('unit in "%s"', (name, quantity, unit) => {
    expect(unitInHeader(name, quantity as ColumnQuantity)).toBe(unit as Unit | null)
  })
})

describe('humidity in other forms becomes RH over water', () => {
  test('dew point in °F', async () => {
    const { probes, look } = await readText(
      'time,Temp (°F),Dew Point (°F)\n2024-05-13 01:00,68,50\n2024-05-13 02:00,68,68\n',
    )
    const [first, second] = probes.get('probe')!
    expect(first!.values.rhPct).toBeCloseTo((100 * vaporPressurePa(10, 100)) / vaporPressurePa(20, 100), 6)
    expect(second!.values.rhPct).toBeCloseTo(100, 6)
    expect(look.understanding.columns[2]!.quantity).toBe('dewPointC')
  })

  test('vapor pressure in hPa', async () => {
    const { probes } = await readText(
      'time,Temp (°C),Vapor pressure (hPa)\n2024-05-13 01:00,20,12\n2024-05-13 02:00,20,13\n',
    )
    expect(probes.get('probe')![0]!.values.rhPct).toBeCloseTo(120_000 / vaporPressurePa(20, 100), 6)
  })

  test('a dew point beside RH is left alone', async () => {
    const { probes } = await readText(
      'time,Temp (°C),RH (%),Dew Point (°C)\n2024-05-13 01:00,20,50,0\n2024-05-13 02:00,20,51,0\n',
    )
    expect(probes.get('probe')![0]!.values.rhPct).toBe(50)
  })
})

describe('shapes', () => {
  test('wide: columns pair by what is left of their names', async () => {
    const { probes } = await readText(
      'time;Kitchen temp (C);Kitchen RH (%);Crawl temp (C);Crawl RH (%)\n2024-05-13 01:00;20;50;15;80\n2024-05-13 02:00;21;51;16;81\n',
    )
    expect([...probes].map(([key, rows]) => [key, rows[0]!.values])).toEqual([
      ['kitchen', { tempC: 20, rhPct: 50 }],
      ['crawl', { tempC: 15, rhPct: 80 }],
    ])
  })

  test('long: a column names the probe', async () => {
    const { probes, look } = await readText(
      'time,sensor,temp (C)\n2024-05-13 01:00,a,1\n2024-05-13 01:00,b,2\n2024-05-13 02:00,a,3\n2024-05-13 02:00,b,4\n',
    )
    expect(look.understanding.shape).toBe('long')
    expect(probes.get('b')!.map((row) => row.values.tempC)).toEqual([2, 4])
  })

  test('without a header nothing is guessed', async () => {
    const text = hourly('2024-04-30 23:00,1,20.5,55', 30, (i, at) => `${at},${i},2${i % 10}.5,5${i % 10}`)
    const look = await understood(sourceOf(text))
    expect(look.questions).toMatchObject([{ key: 'columnRoles', assumed: null }])
    const { probes } = await readText(text, {
      answers: { columnRoles: { 'column 3': { role: 'quantity', quantity: 'tempC', unit: '°C' } } },
    })
    expect(probes.get('probe')![0]!.values).toEqual({ tempC: 20.5 })
  })

  test('repeated headers and remarks in the middle are passed over', async () => {
    const { probes, refused, summary } = await readText(
      'time,temp (C)\n2024-05-13 01:00,1\ntime,temp (C)\nnew battery\n\n2024-05-13 02:00,2\n',
    )
    expect(probes.get('probe')).toHaveLength(2)
    expect([refused.length, summary.skippedLines]).toEqual([0, 3])
  })

  test('stacked reports: the kind in even steps is read, and a person may say otherwise', async () => {
    const text = hourly(
      'time,report type,rain (mm)',
      48,
      (i, at) => `${at},HOUR,1${i % 7 === 3 ? `\n${at.slice(0, -2)}20,SPECIAL,9` : ''}`,
    )
    const { look, probes } = await readText(text)
    expect(look.understanding.keptKinds).toEqual(['HOUR'])
    expect(probes.get('probe')).toHaveLength(48)
    expect((await readText(text, { answers: { rowKinds: [] } })).probes.get('probe')!.length).toBeGreaterThan(48)
  })

  test('a typical year waits for the year it is to be put in', async () => {
    const rows = [
      ['01', 1988],
      ['02', 1991],
      ['03', 1984],
    ].flatMap(([month, year]) => Array.from({ length: 28 }, (_, d) => `${month}/${two(d + 1)}/${year},12:00,${d}`))
    const text = `Date (MM/DD/YYYY),Time (HH:MM),Dry-bulb (C)\n${rows.join('\n')}\n`
    const look = await understood(sourceOf(text))
    expect(look.understanding.typicalYear).toBe(true)
    expect(look.questions.map((q) => [q.key, q.assumed])).toContainEqual(['typicalYear', null])
    const { probes } = await readText(text, { answers: { typicalYear: 2023 } })
    expect(new Set(probes.get('probe')!.map(({ at }) => new Date(at).getUTCFullYear()))).toEqual(new Set([2023]))
  })

  test('the shape key follows the layout, not the values', async () => {
    const key = async (text: string) => (await understood(sourceOf(text))).understanding.shapeKey
    const a = await key('time,temp (C)\n2024-05-13 01:00,1\n2024-05-13 02:00,2\n')
    expect(await key('time,temp (C)\n2023-01-01 00:00,-7\n2023-01-01 01:00,-8\n2023-01-01 02:00,-8.5\n')).toBe(a)
    expect(await key('time;temp (C)\n2024-05-13 01:00;1\n2024-05-13 02:00;2\n')).not.toBe(a)
    expect(await key('time,temperature (C)\n2024-05-13 01:00,1\n2024-05-13 02:00,2\n')).not.toBe(a)
  })
})

describe('values', () => {
  test('RH over 100 is clamped to 105 and refused beyond; the row keeps its temperature', async () => {
    const { probes, refused, look, summary } = await readText(
      'time,temp (C),RH (%)\n2024-05-13 01:00,20,104.9\n2024-05-13 02:00,21,106\n2024-05-13 03:00,22,50\n',
    )
    expect(probes.get('probe')!.map((row) => row.values)).toEqual([
      { tempC: 20, rhPct: 100 },
      { tempC: 21 },
      { tempC: 22, rhPct: 50 },
    ])
    expect(refused).toMatchObject([{ line: 3, quantity: 'rhPct', text: '2024-05-13 02:00,21,106' }])
    expect(summary.clamped).toBe(1)
    expect(codes(look)).toEqual(['clamped', 'refused'])
  })

  test.each(['', 'NA', 'n/a', '---', 'NaN', '-9999', '-99', '-200', '-999.0'])('"%s" is no value', async (mark) => {
    const { probes, refused } = await readText(
      `time,temp (C),RH (%)\n2024-05-13 01:00,20,50\n2024-05-13 02:00,${mark},51\n2024-05-13 03:00,22,52\n`,
    )
    expect(probes.get('probe')![1]!.values).toEqual({ rhPct: 51 })
    expect(refused).toEqual([])
  })

  test('an impossible number that comes again and again is a mark for "no value"', async () => {
    const { refused, look } = await readText(hourly('time,temp (C)', 60, (i, at) => `${at},${i % 4 === 0 ? -123 : 20}`))
    expect(refused).toEqual([])
    expect(look.understanding.missingNumbers).toEqual([-123])
  })

  test('a number declared above the table is no value even where it is possible', async () => {
    const { probes } = await readText(
      'Missing value: 0\n\ntime,temp (C)\n2024-05-13 01:00,0\n2024-05-13 02:00,5\n2024-05-13 03:00,6\n',
    )
    expect(probes.get('probe')!.map((row) => row.values.tempC)).toEqual([5, 6])
  })

  test('trace and suspect rain', async () => {
    const { probes, look } = await readText(
      'time,temp (F),rain (in)\n2024-05-13 01:00,50,T\n2024-05-13 02:00,50,0.02s\n2024-05-13 03:00,50,0.1\n',
    )
    expect(probes.get('probe')!.map((row) => row.values.rainMm)).toEqual([
      0,
      expect.closeTo(0.508, 9),
      expect.closeTo(2.54, 9),
    ])
    expect(codes(look)).toEqual(['trace', 'suspect'])
  })

  test('water, wood, battery, power and condensate are kept in stored units', async () => {
    const { probes } = await readText(
      'time,leak,Wood MC (%),battery (mV),power (kW),condensate (gal),surface temp (°C)\n2024-05-13 01:00,yes,18.5,3050,0.42,1,12\n2024-05-13 02:00,no,18,3040,0.4,0,12\n',
    )
    expect(probes.get('probe')![0]!.values).toEqual({
      waterPresent: 1,
      woodMcPct: 18.5,
      batteryV: expect.closeTo(3.05, 9),
      powerW: expect.closeTo(420, 9),
      condensateL: expect.closeTo(3.785411784, 9),
      surfaceTempC: 12,
    })
  })

  test('text in a number cell is refused with its line', async () => {
    const { refused } = await readText(
      'time,temp (C)\n2024-05-13 01:00,1\n2024-05-13 02:00,1.2.3\n2024-05-13 03:00,3\n',
    )
    expect(refused).toMatchObject([{ line: 3, quantity: 'tempC' }])
    expect(refused[0]!.reason).toContain('"1.2.3"')
  })
})

describe('warnings', () => {
  test('future, all equal, stuck, doubles, clock set back, rain beyond any climate', async () => {
    expect(
      codes(await understood(sourceOf(hourly('time,temp (C)', 30, (i, at) => `${at.replace('2024', '2031')},${i}`)))),
    ).toContain('future')
    expect(codes(await understood(sourceOf(hourly('time,temp (C)', 30, (_, at) => `${at},20`))))).toContain('allEqual')
    expect(
      codes(await understood(sourceOf(hourly('time,temp (C)', 120, (i, at) => `${at},${Math.min(i, 20)}`)))),
    ).toContain('stuck')
    expect(
      codes(await understood(sourceOf('time,temp (C)\n2024-05-13 01:00,1\n2024-05-13 01:00,2\n2024-05-13 02:00,3\n'))),
    ).toContain('duplicates')
    expect(
      codes(
        await understood(
          sourceOf('time,temp (C)\n2024-05-13 05:00,1\n2024-05-13 06:00,2\n2024-05-13 02:00,3\n2024-05-13 03:00,3\n'),
        ),
      ),
    ).toContain('clockJump')
    const rainy = Array.from(
      { length: 300 },
      (_, i) => `${new Date(utc('2023-01-01T12:00:00Z') + i * 86_400_000).toISOString()},20`,
    )
    expect(codes(await understood(sourceOf(`time,rain (mm)\n${rainy.join('\n')}\n`)))).toContain('rainTotal')
  })

  test('an ordinary file has none', async () => {
    const look = await understood(
      sourceOf(hourly('time,temp (C),RH (%)', 100, (i, at) => `${at},${20 + (i % 9)},${50 + (i % 11)}`)),
      { now: NOW },
    )
    expect(look.warnings).toEqual([])
    expect(look.questions).toEqual([])
    expect(look.preview).toHaveLength(5)
    expect(look.preview[0]).toMatchObject({
      line: 2,
      readings: [{ probeKey: 'probe', values: { tempC: 20, rhPct: 50 } }],
    })
  })
})

test.each<[string, ColumnQuantity | null]>([
  ['Temperature', 'tempC'],
  ['Temperatur [°C]', 'tempC'],
  ['Température', 'tempC'],
  ['Temperatura', 'tempC'],
  ['temperatuur', 'tempC'],
  ['Lämpötila', 'tempC'],
  ['rel. Feuchte [%]', 'rhPct'],
  ['Luftfeuchtigkeit', 'rhPct'],
  ['Humidité relative', 'rhPct'],
  ['Humedad', 'rhPct'],
  ['Umidità', 'rhPct'],
  ['Luchtvochtigheid', 'rhPct'],
  ['Suhteellinen kosteus', 'rhPct'],
  ['Taupunkt', 'dewPointC'],
  ['Point de rosée', 'dewPointC'],
  ['Punto di rugiada', 'dewPointC'],
  ['Kastepiste', 'dewPointC'],
  ['Holzfeuchte', 'woodMcPct'],
  ['Niederschlag', 'rainMm'],
  ['Pluie', 'rainMm'],
  ['Lluvia', 'rainMm'],
  ['Pioggia', 'rainMm'],
  ['Neerslag', 'rainMm'],
  ['Sademäärä', 'rainMm'],
  ['RH_5', 'rhPct'],
  ['T9', 'tempC'],
  ['Wind Spd (km/h)', null],
  ['Humidity Ratio', null],
  ['Wet bulb temperature', null],
  ['Temp Flag', null],
  ['Absolute humidity', null],
  ['type', null],
])('the header word "%s"', (name, quantity) => {
  expect(quantityNamed(name)?.quantity ?? null).toBe(quantity)
})

test('an understanding survives JSON and gives the same reading', async () => {
  const look = await lookAtFile(sourceOf('time,temp (C)\n2024-05-13 01:00,1\n2024-05-13 02:00,2\n'), CONTEXT)
  if (!look.ok) throw new Error('refused')
  expect(JSON.parse(JSON.stringify(look.understanding))).toEqual(look.understanding)
})
