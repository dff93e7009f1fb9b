/** Evidence of each way water comes in, and the words of proof: never at odds with the numbers beside them. */
import { expect, test } from 'vitest'
import type { HouseFindings } from '../../server/advice/clues.ts'
import { reasonAboutSources } from '../../server/advice/reasoning.ts'
import { thresholds } from '../../server/advice/thresholds.ts'
import type { Estimate } from '../../server/moisture/input.ts'
import type { PathAmount } from '../../server/moisture/sources.ts'
import { type Circumstances, gradeOf } from '../../server/moisture/verdict.ts'
import { pathEvidence } from '../../server/study/balance/balanceEvidence.ts'
import { type PeriodGrounds, ventsIn } from '../../server/study/balance/balanceGrounds.ts'
import { lacksOf } from '../../server/study/balance/balanceMaking.ts'
import { proofWords } from '../../server/study/balance/balancePage.ts'
import type { StudiedWork } from '../../server/study/studiedHouse.ts'
import { wordedText } from '../../server/study/wording.ts'

const HELD = thresholds()
const FOUND: HouseFindings = {
  sensorsChecked: true,
  baseline: { enough: true, needs: '' },
  liquid: 'not measured',
  rain: { measured: 6, clear: 0, perInchPa: 2, unknownRainHours: 0 },
  excess: { all: null, coldDry: { days: 12, independentDays: 12, low: 180, mid: 250, high: 320 }, humid: null },
  coupling: null,
  coverShare: 0.1,
  downspouts: 'led away',
  floor: 'dry',
  outdoorCondensingShare: null,
  step: 'not looked for',
  coolingDips: 'not known',
  condensationDays: null,
  meanRhPct: 78,
  weeksSinceWork: null,
  excessTrend: 'cannot tell',
  woodTrend: 'cannot tell',
  houseExhausts: 'not looked at',
  warmPulses: 'not looked for',
}

const groundsOf = (more: Partial<PeriodGrounds> = {}, found = FOUND): PeriodGrounds => ({
  found,
  suspicions: new Map(reasonAboutSources(found, HELD).suspicions.map((one) => [one.source, one])),
  cures: [],
  vents: 'The vents were recorded as closed.',
  ventsShut: true,
  wellCovered: (found.coverShare ?? 0) >= HELD.coverGoodShare,
  leak: null,
  houseMeasured: false,
  heldDays: 0,
  days: 100,
  ...more,
})

const spread = (mid: number, wide: number): Estimate => ({ low: mid - wide, mid, high: mid + wide })
const amountOf = (path: PathAmount['path'], sharePct: Estimate, dataShare = 0.8): PathAmount => ({
  path,
  entersLPerDay: spread(2, 0.5),
  leavesLPerDay: spread(0, 0),
  sharePct,
  dataShare,
})

test('bare ground with excess on cold dry days has it for, in either unit system, and a bay to cover as the next test', () => {
  const ground = pathEvidence(amountOf('ground', spread(60, 10)), groundsOf(), false)
  const words = (units: 'si' | 'us') => ground.evidenceFor.map((text) => wordedText(text, ground, units)).join(' ')
  expect(words('si')).toContain('On 12 cold dry days the air held 250 Pa (180 Pa to 320 Pa) more than outdoor air')
  expect(words('us')).toMatch(/the air held 11\.\d grains\/lb/) // 250 Pa is 1.56 g/kg, 7 grains/lb to the g/kg
  expect(words('si')).toContain('The ground is only 10 % covered.')
  expect(words('si')).toContain('Even the low end of its interval is 50 % of what enters.')
  expect(ground.evidenceAgainst).toEqual([])
  const rainless = pathEvidence(amountOf('ground', spread(60, 10)), groundsOf({}, { ...FOUND, rain: null }), false)
  expect(rainless.evidenceAgainst).toEqual(['Rain not known: water from rain counts here as water of the ground.'])
  expect(ground.nextTest).toMatch(/^Cover a bay of 100 ft² \(10 m²\) for two weeks/)
  expect(ground.wouldChangeIt).toContain('No excess on cold dry days')
})

test('no excess on cold dry days, a good cover and a work that has stopped it speak against the ground', () => {
  const dry = {
    ...FOUND,
    coverShare: 0.95,
    excess: { ...FOUND.excess, coldDry: { days: 12, independentDays: 12, low: -30, mid: 0, high: 30 } },
  }
  const cures: PeriodGrounds['cures'] = [
    { path: 'ground', words: 'the ground cover (2024-06-20)', verdict: 'drier', later: false },
  ]
  const { evidenceFor, evidenceAgainst, nextTest, numbers } = pathEvidence(
    amountOf('ground', spread(30, 20), 0.2),
    groundsOf({ cures }, dry),
    false,
  )
  const against = evidenceAgainst.map((text) => wordedText(text, { numbers }, 'si'))
  expect(against[0]).toBe('The ground cover (2024-06-20) left the air drier, so less can come this way now.')
  expect(against.join(' ')).toContain('On 12 cold dry days the air held no more than outdoor air (0 Pa, at most 30 Pa)')
  expect(against).toContain('The ground is covered (95 %).')
  expect(against).toContain('The readings fixed only 20 % of its strength; the rest is what is usual.')
  expect(against).toContain('Its interval is wide: 10 to 50 % of what enters.')
  expect(evidenceFor.join(' ')).not.toContain('covered')
  expect(nextTest).toContain('Look under the cover')
})

test('what a later work took away was there before it; one that changed nothing speaks against its path', () => {
  const later = (verdict: 'drier' | 'no clear change') =>
    groundsOf({ cures: [{ path: 'rain', words: 'the yard drain (2024-06-20)', verdict, later: true }] })
  const rain = amountOf('rain', spread(20, 5))
  expect(pathEvidence(rain, later('drier'), false).evidenceFor[0]).toBe(
    'The yard drain (2024-06-20) later left the air drier.',
  )
  const { evidenceFor, evidenceAgainst } = pathEvidence(rain, later('no clear change'), false)
  expect(evidenceAgainst[0]).toBe('The yard drain (2024-06-20) later changed nothing that shows.')
  expect(evidenceFor.join(' ')).not.toContain('yard drain')
  expect(pathEvidence(amountOf('ground', spread(20, 5)), later('drier'), false).evidenceFor.join(' ')).not.toContain(
    'yard drain',
  )
})

test('a share below five points is never told, and a machine that holds without a meter hides every share', () => {
  const small = pathEvidence(amountOf('rain', { low: 0, mid: 4.9, high: 12 }), groundsOf(), false)
  expect(small.evidenceAgainst).toContain('Its share is below what can be told.')
  expect([...small.evidenceFor, ...small.evidenceAgainst].join(' ')).not.toMatch(/of what enters/)

  const hidden = pathEvidence(amountOf('ground', spread(60, 10)), groundsOf({ heldDays: 100 }), true)
  expect(hidden.evidenceAgainst[0]).toBe('A dehumidifier held the air all the time, so humidity alone cannot tell.')
  expect(hidden.nextTest).toMatch(/^Meter the dehumidifier's water\./)
  expect(hidden.evidenceFor.join(' ')).not.toMatch(/of what enters/)
  const partly = pathEvidence(amountOf('ground', spread(60, 10)), groundsOf({ heldDays: 40 }), false)
  expect(partly.evidenceAgainst[0]).toContain('on 40 of 100 days')
})

test('leak and house air say what was and was not seen', () => {
  const none = pathEvidence(amountOf('leak', spread(0, 0), 1), groundsOf(), false)
  expect(none.evidenceAgainst.join(' ')).toContain('cannot be told from the ground')
  const found = groundsOf({ leak: { date: '2024-05-01', support: 22.4 } })
  const leak = pathEvidence(amountOf('leak', spread(30, 5)), found, false)
  expect(leak.evidenceFor.join(' ')).toContain('began about 2024-05-01 (evidence 22; 6 and more is strong)')
  expect(pathEvidence(amountOf('house', spread(30, 5)), groundsOf(), false).evidenceAgainst).toContain(
    'The air of the rooms was not measured, so what it brings is assumed.',
  )
  const measured = pathEvidence(amountOf('house', spread(30, 5), 1), groundsOf({ houseMeasured: true }), false)
  expect(measured.evidenceFor).toContain('The air of the rooms was measured.')
})

test('vents are as the last work left them, and before the first one as they were recorded for the start', () => {
  const day = (n: number) => Date.UTC(2024, 5, n, 12)
  const house = (works: Partial<StudiedWork>[]) => ({ works: works as StudiedWork[], tree: { timeZone: 'UTC' } })
  const sealed = { key: 's', kind: 'vents sealed' as const, from: day(10), to: null }
  expect(ventsIn(house([sealed]), 'open', day(1))).toEqual({
    vents: 'The vents were recorded as open.',
    ventsShut: false,
  })
  expect(ventsIn(house([sealed]), undefined, day(1))).toEqual({ vents: null, ventsShut: false })
  expect(ventsIn(house([sealed]), 'open', day(10))).toEqual({
    vents: 'The vents have been sealed since 2024-06-10.',
    ventsShut: true,
  })
  const whole = { key: 'w', kind: 'encapsulation' as const, from: day(5), to: null }
  expect(ventsIn(house([whole]), 'open', day(6)).ventsShut).toBe(true) // its usual parts seal the vents
  const mixed = {
    key: 'e',
    kind: 'encapsulation' as const,
    from: day(5),
    to: null,
    details: { parts: ['vents opened' as const] },
  }
  expect(ventsIn(house([mixed]), 'closed', day(6)).ventsShut).toBe(false)
  expect(ventsIn(house([]), 'partly', day(1)).vents).toBe('The vents were recorded as partly open.')
})

const ENOUGH: Circumstances = {
  daysBefore: 60,
  daysAfter: 60,
  humidDaysBefore: 30,
  humidDaysAfter: 30,
  stormsBefore: 5,
  stormsAfter: 5,
  rainMatters: true,
  overlap: 0.8,
  drying: false,
  meetsTarget: false,
  daysPastDrying: 60,
}
const soFarOf = (humidityRatioGKg: Estimate) => ({ humidityRatioGKg }) as Parameters<typeof lacksOf>[0]['soFar']

test('an interval clear of zero is never said to lack that', () => {
  const { grade, lacks } = gradeOf(false, ENOUGH)
  expect(lacks).toHaveLength(1)
  const lacksFor = (verdict: 'cannot tell' | 'no clear change', estimate: Estimate, needs: string[] = []) =>
    lacksOf({ lacks, needs, verdict, soFar: soFarOf(estimate) })
  expect(lacksFor('cannot tell', spread(-0.3, 0.5))).toEqual(lacks) // it does include zero
  expect(lacksFor('cannot tell', spread(-0.3, 0.2))).toEqual(['an effect that is surely large enough to notice'])
  expect(lacksFor('cannot tell', spread(-1, 0.2), ['5 more days after the work'])).toEqual([])
  expect(lacksFor('no clear change', spread(0, 0.1))).toEqual([])
  expect(proofWords({ grade, verdict: 'no clear change', needs: [], lacks: [] })).toBe(
    'Grade D: no effect to credit the work with.',
  )
})

test('grades are worded for people, each with what it lacks', () => {
  const lacks = ['six weeks after the work (20 days)']
  const words = (grade: 'A' | 'B' | 'C' | 'D', verdict: 'drier' | 'cannot tell' = 'drier', needs: string[] = []) =>
    proofWords({ grade, verdict, needs, lacks: grade === 'A' ? [] : lacks })
  expect(words('A')).toBe('Grade A: shown.')
  expect(words('B')).toBe('Grade B: likely. To be shown it lacks six weeks after the work (20 days).')
  expect(words('C')).toMatch(/^Grade C: the space meets its target now; .* For that it lacks six weeks/)
  expect(words('D')).toBe(
    'Grade D: not shown yet. The numbers say drier. To credit the work with it, the record lacks six weeks after the work (20 days).',
  )
  expect(words('D', 'cannot tell', ['5 more days'])).toMatch(/^Grade D: untested so far\. It lacks six weeks/)
})
