import { expect, test } from 'vitest'
import { woodRising, woodWet } from '../../../server/watch/rules/wood.ts'
import { stepWood, woodTrack } from '../../../server/watch/rules/woodTrack.ts'
import { along, HOUR, held, START } from './along.ts'

const { woodWetPct, woodWetHours, woodOffPoints, woodDampPct, woodRiseDays, woodRiseOffPoints } = held
const rise = held.woodRiseWatchPoints
const estimated = (woodMcPct: number) => ({ woodMcPct })
const pins = (woodMcPct: number) => ({ woodMcPct, woodMeasured: true })

test('wet wood is raised after a day, to the owner only where pins measured it', () => {
  expect(
    along(woodWet)
      .go(woodWetHours - 1, pins(woodWetPct))
      .raised(),
  ).toBeNull()
  expect(
    along(woodWet)
      .go(100, pins(woodWetPct - 0.1))
      .raised(),
  ).toBeNull()
  expect(along(woodWet).go(woodWetHours, pins(woodWetPct)).raised()).toMatchObject({
    since: START,
    urgency: 'soon',
    audience: ['owner', 'contractor'],
    numbers: { woodMeasured: 1, lineWoodMcPct: woodWetPct },
  })
  expect(along(woodWet).go(woodWetHours, estimated(woodWetPct)).raised()).toMatchObject({
    audience: ['contractor'],
    numbers: { woodMeasured: 0 },
  })
})

test('it ends some points lower; what is not known does not end it', () => {
  const wet = () => along(woodWet).go(woodWetHours, pins(woodWetPct))
  expect(
    wet()
      .go(500, pins(woodWetPct - woodOffPoints + 0.1))
      .raised(),
  ).not.toBeNull()
  expect(wet().go(500, {}).raised()).not.toBeNull()
  expect(
    wet()
      .go(1, pins(woodWetPct - woodOffPoints))
      .raised(),
  ).toBeNull()
})

test('an estimate that has not settled says nothing of wet wood, and is no beginning of a rise', () => {
  const guess = (woodMcPct: number) => ({ woodMcPct, woodSettled: false })
  expect(
    along(woodWet)
      .go(500, guess(woodWetPct + 5))
      .raised(),
  ).toBeNull()
  const days = 24 * (woodRiseDays + 1)
  expect(
    along(woodRising)
      .go(24 * 20, guess(8))
      .go(days, estimated(15))
      .raised(),
  ).toBeNull()
})

const rising = (from: number, to: number, make = estimated) =>
  along(woodRising)
    .go(24, make(from))
    .go(24 * (woodRiseDays - 1), make(from))
    .go(24, make(to))

test('a rise within its days is a note while dry, and soon once damp; to the owner where pins measured it', () => {
  expect(rising(10, 10 + rise - 0.1).raised()).toBeNull()
  expect(rising(10, 10 + rise).raised()).toMatchObject({
    urgency: 'note',
    audience: ['contractor'],
    since: START + 24 * HOUR,
  })
  expect(rising(woodDampPct - rise, woodDampPct).raised()).toMatchObject({ urgency: 'soon', audience: ['contractor'] })
  expect(rising(woodDampPct - rise, woodDampPct, pins).raised()).toMatchObject({
    urgency: 'soon',
    audience: ['owner', 'contractor'],
  })
})

test('it ends when the rise is small again, and not because nobody hears of it', () => {
  const higher = (points: number) => rising(10, 10 + rise).go(24, estimated(10 + points))
  expect(higher(woodRiseOffPoints).raised()).not.toBeNull()
  expect(higher(woodRiseOffPoints - 0.1).raised()).toBeNull()
  expect(
    rising(10, 10 + rise)
      .go(24 * 20, {})
      .raised(),
  ).not.toBeNull()
})

test('a rise about the damp line does not become more and less urgent by turns', () => {
  const going = rising(woodDampPct - rise, woodDampPct)
  expect(going.go(1, estimated(woodDampPct - woodOffPoints + 0.1)).raised()!.urgency).toBe('soon')
  expect(going.go(1, estimated(woodDampPct - woodOffPoints)).raised()!.urgency).toBe('note')
})

test('pins against an estimate is no rise', () => {
  const mixed = along(woodRising)
    .go(24 * woodRiseDays, estimated(10))
    .go(24, pins(18))
  expect(mixed.raised()).toBeNull()
})

const NONE = Number.NaN
const AIR = { tempC: 15, rhPct: 85, pinsPct: NONE }

test('an estimate lags behind the air and has settled after its days; pins need no settling', () => {
  const track = woodTrack()
  const go = (hours: number, air: typeof AIR) => {
    let last = stepWood(track, air, held)
    for (let i = 1; i < hours; i++) last = stepWood(track, air, held)
    return last
  }
  const first = go(1, { ...AIR, rhPct: 40 })
  expect(first.settled).toBe(false)
  const day = go(24, AIR)
  const month = go(24 * held.woodSettlingDays - 25, AIR)
  expect(month.settled).toBe(true)
  expect(day.woodMcPct - first.woodMcPct).toBeLessThan((month.woodMcPct - first.woodMcPct) / 2)
  // A long gap makes it a guess again; a short one does not.
  expect(go(24 * held.woodLongGapDays - 1, { ...AIR, rhPct: NONE }).settled).toBe(true)
  expect(go(1, { ...AIR, rhPct: NONE })).toMatchObject({ woodMcPct: NONE, settled: false })
  expect(go(1, AIR).settled).toBe(false)
  expect(go(1, { ...AIR, pinsPct: 14 })).toEqual({ woodMcPct: 14, measured: true, settled: true })
  expect(go(48, AIR).measured).toBe(true)
  expect(go(1, AIR)).toMatchObject({ measured: false, settled: true })
})
