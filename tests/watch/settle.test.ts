/** When a notice that is open is told of again, to whom, and what keeps it quiet. */
import { expect, test } from 'vitest'
import { thresholds } from '../../server/advice/thresholds.ts'
import type { Condition, Ended } from '../../server/watch/condition.ts'
import { type LedgerNotice, ownerToldIn, takeDown } from '../../server/watch/ledger.ts'
import { nextUpdateAt, settle } from '../../server/watch/settle.ts'
import type { Audience } from '../../server/watch/types.ts'

const HOUR = 3_600_000
const DAY = 24 * HOUR
const START = Date.UTC(2026, 0, 1)
const held = thresholds()
const ALL: Audience[] = ['owner', 'contractor']

const condition = (more: Partial<Condition> = {}): Condition => ({
  watch: 'damp',
  cause: 'crawl',
  since: START,
  sureAt: START,
  seenAt: Number.NaN,
  urgency: 'soon',
  audience: ALL,
  place: { spot: 'crawl/low', spotName: 'Low corner', spaceName: 'Crawl space' },
  alsoAt: [],
  about: null,
  circumstances: [],
  numbers: { rhPct: 70 },
  ...more,
})

/** A house that is looked at every hour; readings are fresh unless said otherwise. */
function house() {
  const notices: LedgerNotice[] = []
  let now = START
  const look = (conditions: Condition[], ended: Ended[] = []) => {
    const fresh = conditions.map((one) => (Number.isNaN(one.seenAt) ? { ...one, seenAt: now } : one))
    const recent = notices.filter(({ clearedAt }) => clearedAt === null || now - clearedAt < DAY)
    const settled = settle({
      now,
      held,
      conditions: fresh,
      ended,
      notices: recent,
      ownerToldAt: ownerToldIn(notices),
    })
    takeDown(notices, settled)
    return settled
  }
  return {
    notices,
    look,
    now: () => now,
    wait(ms: number) {
      now += ms
    },
    /** Every hour for so long, with these conditions. */
    pass(ms: number, conditions: (now: number) => Condition[]) {
      for (const end = now + ms; now < end; ) {
        now += HOUR
        look(conditions(now))
      }
    },
    changes: () =>
      notices.flatMap(({ openedAt, changes }) =>
        changes.map(({ at, change, body }) => ({ change, hours: (at - openedAt) / HOUR, tell: body.tell, body })),
      ),
    letters: (to: Audience) =>
      notices.flatMap(({ changes }) =>
        changes.flatMap(({ at, body }) => (body.tell.includes(to) ? [(at - START) / HOUR] : [])),
      ),
  }
}

test('what is urgent is told of after one day, after three, then weekly, to everybody', () => {
  const one = house()
  const water = [condition({ watch: 'liquid water', urgency: 'urgent' })]
  one.look(water)
  one.pass(25 * DAY, () => water)
  const days = [0, 1, 3, 10, 17, 24].map((day) => day * 24)
  expect(one.letters('owner')).toEqual(days)
  expect(one.letters('contractor')).toEqual(days)
})

test('what is not urgent is told of weekly to the contractor and every four weeks to the owner', () => {
  const one = house()
  one.look([condition()])
  one.pass(60 * DAY, () => [condition()])
  expect(one.letters('contractor')).toEqual([0, 7, 14, 21, 28, 35, 42, 49, 56].map((day) => day * 24))
  expect(one.letters('owner')).toEqual([0, held.updateOwnerDays, 2 * held.updateOwnerDays].map((day) => day * 24))
})

test('silence is told to the owner once, and weekly to the contractor', () => {
  const one = house()
  one.look([condition({ watch: 'silent' })])
  one.pass(60 * DAY, () => [condition({ watch: 'silent' })])
  expect(one.letters('owner')).toEqual([0])
  expect(one.letters('contractor').length).toBe(9)
})

test('acknowledged, it is told of every four weeks, urgent or not', () => {
  for (const urgency of ['soon', 'urgent'] as const) {
    const one = house()
    one.look([condition({ urgency })])
    one.notices[0]!.acknowledgedAt = START + 2 * HOUR
    one.pass(60 * DAY, () => [condition({ urgency })])
    expect(one.letters('contractor')).toEqual([0, 28, 56].map((day) => day * 24))
  }
})

test('the next update never lies in the past, however late the last one was', () => {
  const notice = { urgency: 'urgent' as const, openedAt: START, updatedAt: START, acknowledgedAt: null }
  for (let hours = 0; hours < 40 * 24; hours += 5) {
    const updatedAt = START + hours * HOUR
    const next = nextUpdateAt({ ...notice, updatedAt }, held)
    expect(next).toBeGreaterThan(updatedAt)
    expect(next - updatedAt).toBeLessThanOrEqual(held.updateEveryDays * DAY)
  }
})

test('an owner gets so many letters in 30 days about what is not urgent, and any about what is', () => {
  const one = house()
  const causes = ['a', 'b', 'c', 'd']
  one.look(causes.map((cause) => condition({ cause })))
  expect(one.letters('owner')).toHaveLength(held.ownerLettersPerMonth)
  expect(one.letters('contractor')).toHaveLength(causes.length)
  one.wait(DAY)
  const urgent = condition({ watch: 'freezing', urgency: 'urgent' })
  one.look([...causes.map((cause) => condition({ cause })), urgent])
  expect(one.letters('owner')).toHaveLength(held.ownerLettersPerMonth + 1)
})

test('who could not be told for the budget is told when it is there again, if it still holds', () => {
  const one = house()
  const all = ['a', 'b', 'c'].map((cause) => condition({ cause }))
  one.look(all)
  one.pass(40 * DAY, () => all)
  const third = one.notices.find(({ cause }) => cause === 'c')!
  const told = third.changes.filter(({ body }) => body.tell.includes('owner'))
  expect(told.map(({ at }) => at)).toEqual([START + 30 * DAY])
  for (const at of one.letters('owner')) {
    const within = one.letters('owner').filter((other) => other >= at && other < at + 30 * 24)
    expect(within.length).toBeLessThanOrEqual(held.ownerLettersPerMonth)
  }
})

test('more urgent is told at once, less urgent is not', () => {
  const one = house()
  one.look([condition({ watch: 'freezing' })])
  one.wait(5 * HOUR)
  one.look([condition({ watch: 'freezing', urgency: 'urgent' })])
  one.wait(HOUR)
  one.look([condition({ watch: 'freezing' })])
  expect(one.changes().map(({ change, hours, tell }) => [change, hours, tell])).toEqual([
    ['opened', 0, ALL],
    ['more urgent', 5, ALL],
    ['less urgent', 6, []],
  ])
  expect(one.notices[0]!.urgency).toBe('soon')
})

test('snoozed, it is quiet and so is its end', () => {
  const one = house()
  one.look([condition()])
  one.notices[0]!.snoozedUntil = START + 20 * DAY
  one.pass(15 * DAY, () => [condition()])
  expect(one.letters('contractor')).toEqual([0])
  expect(
    one
      .changes()
      .slice(1)
      .map(({ change, body }) => [change, body.quiet]),
  ).toEqual([
    ['updated', 'snoozed'],
    ['updated', 'snoozed'],
  ])
  one.wait(HOUR)
  one.look([])
  expect(one.changes().at(-1)).toMatchObject({ change: 'cleared', tell: [], body: { quiet: 'snoozed' } })
})

test('who acknowledged or snoozed what was not urgent is asked anew once it is', () => {
  const one = house()
  one.look([condition({ watch: 'freezing' })])
  one.notices[0]!.acknowledgedAt = START
  one.notices[0]!.snoozedUntil = START + 25 * DAY
  one.pass(HOUR, () => [condition({ watch: 'freezing', urgency: 'urgent' })])
  one.pass(8 * DAY, () => [condition({ watch: 'freezing', urgency: 'urgent' })])
  expect(one.letters('owner')).toEqual([0, 1, 24, 72])
})

test('once over, those who were told are told, and nobody else', () => {
  const one = house()
  one.look([condition({ audience: ['contractor'] })])
  one.wait(DAY)
  const until = one.now() - 3 * HOUR
  one.look([], [{ ...condition({ audience: ALL }), until }])
  expect(one.changes().at(-1)).toMatchObject({ change: 'cleared', tell: ['contractor'], body: { overAt: until } })
})

test('a notice whose audience grows is told to whom it is new', () => {
  const one = house()
  const silent = (audience: Audience[]) => condition({ watch: 'silent', audience })
  one.look([silent(['contractor'])])
  one.wait(2 * DAY)
  one.look([silent(ALL)])
  expect(one.changes().map(({ tell }) => tell)).toEqual([['contractor'], ['owner']])
})

test('a note is kept and written about to nobody', () => {
  const one = house()
  one.look([condition({ urgency: 'note' })])
  one.pass(30 * DAY, () => [condition({ urgency: 'note' })])
  expect(one.letters('contractor')).toEqual([])
  expect(one.changes()[0]!.change).toBe('opened')
})

test('what old readings show is kept quiet, is told once readings are fresh, and forgotten without any', () => {
  const one = house()
  one.wait(held.oldReadingsHours * HOUR + 1)
  one.look([condition({ seenAt: START })])
  expect(one.changes()[0]).toMatchObject({ tell: [], body: { quiet: 'old readings' } })
  one.wait(HOUR)
  one.look([condition()])
  expect(one.letters('owner')).toHaveLength(1)
  const seenAt = one.now()
  one.pass(held.forgottenDays * DAY, () => [condition({ seenAt })])
  expect(one.letters('owner')).toHaveLength(1)
  one.wait(HOUR)
  one.look([condition({ seenAt })])
  expect(one.changes().at(-1)).toMatchObject({ change: 'cleared', tell: [], body: { quiet: 'no readings any more' } })
  // And it does not open again from the same old readings.
  const before = one.notices.length
  one.wait(HOUR)
  one.look([condition({ seenAt })])
  expect(one.notices).toHaveLength(before)
})

test('over and there again before anybody looked: two notices, and no letter', () => {
  const one = house()
  one.look([condition()])
  one.wait(DAY)
  const until = START + 5 * HOUR
  one.look([condition({ since: START + 9 * HOUR })], [{ ...condition(), until }])
  expect(one.notices.map(({ sinceAt, clearedAt, body }) => [sinceAt, clearedAt !== null, body.overAt])).toEqual([
    [START, true, until],
    [START + 9 * HOUR, false, null],
  ])
  expect(one.letters('owner')).toEqual([0])
  expect(one.notices[1]!.body.told).toEqual(ALL)
})

test('late readings move the beginning of an open notice without a change', () => {
  const one = house()
  one.look([condition()])
  const settled = one.look([condition({ since: START - 6 * HOUR })])
  expect(settled.transitions).toEqual([])
  expect(one.notices[0]!.sinceAt).toBe(START - 6 * HOUR)
})
