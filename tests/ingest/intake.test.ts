import { expect, test } from 'vitest'
import { EARLIEST_AT } from '../../server/ingest/checkReadings.ts'
import { createIntake, type Reading } from '../../server/ingest/intake.ts'
import { QUANTITIES, type Quantity } from '../../server/series/quantities.ts'
import { openDatabase } from '../../server/store/open.ts'
import { readColumns } from '../../server/store/readings.ts'
import { addProbes, scratchDatabase } from '../support/database.ts'

const NOW = Date.UTC(2026, 5, 1)
const T0 = Date.UTC(2026, 4, 1)
const HOUR = 3_600_000

function intakeOn(db = scratchDatabase()) {
  const [probe] = addProbes(db, 1) as [number]
  const intake = createIntake(db, { now: () => NOW })
  return {
    probe,
    send: (...readings: Reading[]) => intake.receive(probe, readings),
    stored: () => readColumns(db, probe, 0, Number.MAX_SAFE_INTEGER),
    intake,
  }
}

test('a receipt tells stored, repeated, filled, differing and refused apart, each by its place in what was sent', async () => {
  const { send } = intakeOn()
  await send({ at: T0, tempC: 20, rhPct: 70 }, { at: T0 + HOUR, tempC: 21 }, { at: T0 + 2 * HOUR, tempC: 22 })
  const receipt = await send(
    { at: T0 - 50 * 365 * 24 * HOUR, tempC: 20 },
    { at: T0, tempC: 20, rhPct: 70 },
    { at: T0 + HOUR, tempC: 21, rhPct: 66 },
    { at: T0 + 2 * HOUR, tempC: 22.5 },
    { at: T0 + 3 * HOUR, tempC: 23 },
    { at: T0 + 4 * HOUR, tempC: 400 },
  )
  expect(receipt).toMatchObject({ stored: 1, repeated: 1, filled: 1 })
  expect(receipt.differs).toEqual([{ row: 3, at: T0 + 2 * HOUR, quantity: 'tempC', kept: 22, offered: 22.5 }])
  expect(receipt.refused.map(({ row, quantity, value }) => ({ row, quantity, value }))).toEqual([
    { row: 0, quantity: null, value: T0 - 50 * 365 * 24 * HOUR },
    { row: 5, quantity: 'tempC', value: 400 },
  ])
})

test('what is the same to the stored step is a repeat, not a difference', async () => {
  const { send } = intakeOn()
  await send({ at: T0, tempC: 21.374 })
  expect(await send({ at: T0, tempC: 21.3651 })).toMatchObject({ repeated: 1, differs: [] })
  expect((await send({ at: T0, tempC: 21.38 })).differs).toHaveLength(1)
})

test.each(Object.entries(QUANTITIES) as [Quantity, (typeof QUANTITIES)[Quantity]][])(
  '%s is taken at both ends of its range and refused beyond them and where it is no number',
  async (quantity, { min, max, storedStep }) => {
    const { send, stored } = intakeOn()
    const beyond = quantity === 'rhPct' ? 5.01 : storedStep
    const receipt = await send(
      { at: T0, [quantity]: min },
      { at: T0 + HOUR, [quantity]: max },
      { at: T0 + 2 * HOUR, [quantity]: min - storedStep },
      { at: T0 + 3 * HOUR, [quantity]: max + beyond },
      { at: T0 + 4 * HOUR, [quantity]: Number.POSITIVE_INFINITY },
      { at: T0 + 5 * HOUR, [quantity]: Number.NaN },
    )
    expect(receipt.stored).toBe(2)
    expect(receipt.refused.map((refusal) => refusal.row)).toEqual([2, 3, 4, 5])
    expect([...(await stored())[quantity]!]).toEqual([min, max])
  },
)

test('an RH a little above 100 is stored as 100, for sensors overshoot at saturation', async () => {
  const { send, stored } = intakeOn()
  expect(await send({ at: T0, rhPct: 104.9 })).toMatchObject({ stored: 1, refused: [] })
  expect([...(await stored()).rhPct!]).toEqual([100])
})

test('liquid water is there or not: a half is refused', async () => {
  const { send } = intakeOn()
  const { refused } = await send({ at: T0, waterPresent: 0.5 })
  expect(refused[0]!.reason).toBe('liquid water present is 0.5, expected 0 or 1.')
})

test('a bad value is refused alone, and the reading keeps its others', async () => {
  const { send, stored } = intakeOn()
  const receipt = await send({ at: T0, tempC: 20, rhPct: 130 })
  expect(receipt).toMatchObject({ stored: 1, refused: [{ row: 0, quantity: 'rhPct', value: 130 }] })
  expect(receipt.refused[0]!.reason).toBe('relative humidity over water is 130, expected 0 to 100 %.')
  const { tempC, rhPct } = await stored()
  expect([tempC![0], rhPct]).toEqual([20, undefined])
})

test('instants from 2000 to one day from now are taken; one second beyond is refused', async () => {
  const { send } = intakeOn()
  const day = 24 * HOUR
  const receipt = await send(
    { at: EARLIEST_AT, tempC: 1 },
    { at: NOW + day, tempC: 1 },
    { at: EARLIEST_AT - 1000, tempC: 1 },
    { at: NOW + day + 1000, tempC: 1 },
    { at: Number.NaN, tempC: 1 },
  )
  expect(receipt.stored).toBe(2)
  expect(receipt.refused.map((refusal) => refusal.row)).toEqual([2, 3, 4])
})

test('an instant in seconds is refused with the fix that helps', async () => {
  const { send } = intakeOn()
  const { refused } = await send({ at: T0 / 1000, tempC: 20 })
  expect(refused[0]!.reason).toContain('the time is 1970-01-21')
  expect(refused[0]!.fix).toBe('It looks like seconds: send milliseconds since 1970 (UTC).')
})

test('a reading without any value is refused and says what could be sent', async () => {
  const { send } = intakeOn()
  const { stored, refused } = await send({ at: T0 })
  expect(stored).toBe(0)
  expect(refused[0]!.reason).toBe('the reading has no value.')
  expect(refused[0]!.fix).toContain('tempC')
})

test('a day of RH between 0 and 1 is a fraction and is refused; a few such values are not enough to say so', async () => {
  const { send } = intakeOn()
  const day = (count: number) =>
    Array.from({ length: count }, (_, i) => ({ at: T0 + i * HOUR, rhPct: 0.62, tempC: 20 }))
  const whole = await send(...day(24))
  expect(whole.stored).toBe(24) // the temperatures
  expect(whole.refused).toHaveLength(24)
  expect(whole.refused[0]!.fix).toBe('Send relative humidity in percent, 0 to 100.')
  const { send: sendElsewhere } = intakeOn()
  expect(await sendElsewhere(...day(5))).toMatchObject({ stored: 5, refused: [] })
})

test('more readings than one transaction holds come in whole, with places counted over all of them', async () => {
  const { send } = intakeOn()
  const many = Array.from({ length: 2500 }, (_, i) => ({ at: T0 + i * 60_000, tempC: 20 }))
  expect(await send(...many)).toMatchObject({ stored: 2500 })
  const again = await send(
    { at: T0 - 1000, tempC: 999 },
    ...many.map((reading, i) => ({ ...reading, tempC: i === 2400 ? 21 : 20 })),
  )
  expect(again).toMatchObject({ stored: 0, repeated: 2499, differs: [{ row: 2401 }], refused: [{ row: 0 }] })
})

test('what a receipt acknowledges is in the file for another reader at once', async () => {
  const db = scratchDatabase()
  const { send } = intakeOn(db)

  await send({ at: T0, tempC: 20 })
  const reader = openDatabase(db.path, { readOnly: true })
  expect(reader.raw.prepare('select temp_c from readings').all()).toEqual([{ temp_c: 2000 }])
  reader.close()
})
