/** All that the page of a house says, composed of its facts, its findings and, where it is kept, its balance. */
import { DEFERS } from '../../advice/holds.ts'
import { thresholds } from '../../advice/thresholds.ts'
import { worstLevel } from '../../moisture/level.ts'
import { instantOfLocalText, localDateText } from '../../series/localTime.ts'
import { findHouse, findProbesOfHouse } from '../../store/houses.ts'
import type { HouseTree } from '../../store/houseTree.ts'
import type { Database } from '../../store/open.ts'
import { readTree } from '../../store/readHouse.ts'
import { findEnds } from '../../store/readings.ts'
import { readSettings } from '../../store/settings.ts'
import type { BalanceAnswer, BalanceEffect } from '../balance/balanceAnswer.ts'
import { estimate, turned, unitsOf } from '../balance/balanceUnits.ts'
import type { Finding } from '../finding.ts'
import type { HouseLevelData, RemedyData } from '../findingData.ts'
import { type Units, wordedFinding, wordedText } from '../wording.ts'
import { listWords, workKindWords, workWords } from '../workWords.ts'
import { asOfHouse } from './asOf.ts'
import { dateWords } from './dateWords.ts'
import { encapsulate } from './encapsulate.ts'
import { type PageProbe, pageProbes } from './pageProbes.ts'
import { baselineOf, otherFindings, pageFinding, riskOf, stormsOf } from './pageSections.ts'
import { type PageSpace, pageSpaces, tallyOf } from './pageSpots.ts'
import { pageStations } from './pageStations.ts'
import { isJudged, spotLetters } from './spotLetters.ts'
import { verdictSentence } from './verdictSentence.ts'

export interface PageAsked {
  units: Units
  now: number
  findings: readonly Finding[]
  /** The kept balance; null while there is none. */
  balance: BalanceAnswer | null
}

export type HousePageView = NonNullable<Awaited<ReturnType<typeof housePage>>>

/** @returns undefined when there is no such house. Hour values must be up to date. */
export async function housePage(db: Database, houseKey: string, { units, now, findings, balance }: PageAsked) {
  const row = await findHouse(db, houseKey)
  if (!row) return undefined
  const tree = readTree(db, row)
  const settings = await readSettings(db, row)
  const held = thresholds(settings.firm, settings.house)
  const letters = spotLetters(tree)
  const probeIds = new Map(
    (await findProbesOfHouse(db, row.id)).map(({ logger, probe, id }) => [`${logger}/${probe}`, id]),
  )
  const record = await recordEnds(db, tree, probeIds)
  const asOf = asOfHouse(tree, record?.to ?? null, now)
  const levels = (findings.find(
    ({ question, subject, data }) => question === 'level' && data !== undefined && subject.period === undefined,
  )?.data ?? null) as HouseLevelData | null
  const spaces = await pageSpaces(db, { tree, probeIds, letters, levels, asOf, units })
  const judged = spaces.filter(({ spots }) => spots.some(({ level }) => level !== null))
  const tally = tallyOf(judged)
  const level = worstLevel(tally.map((one) => one.level))
  const works = worksOf(tree)
  const remedies = remediesOf(findings, units)
  const probes: PageProbe[] = await pageProbes(db, { tree, probeIds, letters, findings, units })
  const { key, name, place = '', invented = false, timeZone } = tree
  return {
    house: { key, name, place, invented, timeZone },
    asOf,
    recordFrom: record?.from ?? null,
    recordTo: record?.to ?? null,
    level,
    knowsBalance: balance !== null,
    verdict: {
      sentence: headSentence(tree, judged, asOf),
      lead: leadOf(tree, judged, remedies, balance, units),
    },
    encapsulate: encapsulate({
      remedies: new Map(remedies.map(({ remedy, data }) => [remedy, data])),
      encapsulatedSince: encapsulatedSince(tree),
      level,
      coverSharePct: coverSharePct(tree),
      coverGoodPct: held.coverGoodShare * 100,
      seasonsSeen: remedies.length > 0 && baselineOf(findings, units)?.stage === 'closing decision',
      worksThatDried: driedWords(tree, balance, units),
      rainWords: rainWords(findings, units),
    }),
    tally,
    spaces,
    works,
    events: (tree.events ?? []).map(({ kind, from, to, note = null }) => ({
      kind,
      at: instantOfLocalText(from, timeZone),
      to: to === undefined ? null : instantOfLocalText(to, timeZone),
      date: from,
      note,
    })),
    remedies: remedies.map(({ data: _, ...remedy }) => remedy),
    storms: stormsOf(findings, units),
    risk: riskOf(findings, letters, units),
    baseline: baselineOf(findings, units),
    findings: otherFindings(findings, units),
    probes,
    stations: await pageStations(db, { tree, houseId: row.id, asOf, staleHours: held.stationStaleHours }),
    cautions: [DEFERS],
  }
}

async function recordEnds(db: Database, tree: HouseTree, probeIds: ReadonlyMap<string, number>) {
  const placed = new Set(
    (tree.loggers ?? []).flatMap(({ key, probes }) => probes.map((probe) => probeIds.get(`${key}/${probe.key}`) ?? 0)),
  )
  const ends = await findEnds(db, [...placed])
  return ends.length === 0
    ? null
    : { from: Math.min(...ends.map(({ from }) => from)), to: Math.max(...ends.map(({ to }) => to)) }
}

function headSentence(tree: HouseTree, judged: readonly PageSpace[], asOf: number): string {
  const spots = judged.flatMap((space) =>
    space.spots.flatMap(({ letter, name, level, since }) =>
      level === null ? [] : [{ letter, name, level, since: since ?? '' }],
    ),
  )
  if (spots.length === 0) return `Nothing has been measured under ${tree.name} yet.`
  const places = listWords(judged.map(({ name }) => `the ${name.charAt(0).toLowerCase()}${name.slice(1)}`))
  return verdictSentence(spots, `in ${places}`, localDateText(Math.max(0, asOf - 1), tree.timeZone))
}

/** At most three sentences: what set the worst level, what the last work did, what comes next. */
function leadOf(
  tree: HouseTree,
  judged: readonly PageSpace[],
  remedies: readonly { title: string; need: string; done: boolean; waitsFor: string | null }[],
  balance: BalanceAnswer | null,
  units: Units,
): string[] {
  const spots = judged.flatMap(({ spots: own }) => own)
  const worst = worstLevel(spots.flatMap(({ level }) => (level === null ? [] : [level])))
  const first = spots.find(({ level }) => level === worst && worst !== 'dry')
  const why = first === undefined || first.because === '' ? [] : [`${first.letter}, ${first.name}: ${first.because}`]
  const done = driedWords(tree, balance, units).slice(0, 1)
  const needed = remedies.find(({ need, done: stands }) => need === 'needed' && !stands)
  const waiting = remedies.find(
    ({ need, done: stands, waitsFor }) => need === 'not yet' && !stands && waitsFor !== null,
  )
  const next = needed
    ? [`Next: ${needed.title.toLowerCase()}.`]
    : waiting
      ? [`Next: ${lowered(waiting.waitsFor!)}`]
      : []
  return [...why, ...done, ...next]
}

const lowered = (text: string): string => `${text.charAt(0).toLowerCase()}${text.slice(1)}`

/** Works that dried the air, by how much; the strongest first. */
function driedWords(tree: HouseTree, balance: BalanceAnswer | null, units: Units): string[] {
  if (balance?.outcome !== 'told') return []
  const works = (tree.works ?? []).map((work) => ({
    ...work,
    from: instantOfLocalText(work.from, tree.timeZone),
    to: null,
  }))
  return balance.effects
    .filter(
      (effect): effect is BalanceEffect & { soFar: NonNullable<BalanceEffect['soFar']> } =>
        effect.verdict === 'drier' && effect.soFar !== null,
    )
    .sort((a, b) => a.soFar.humidityRatioGKg.mid - b.soFar.humidityRatioGKg.mid)
    .map(({ works: keys, soFar, grade }) => {
      const amount = estimate(turned(soFar.humidityRatioGKg), unitsOf(units).ratio)
      const words = workWords({ works, tree }, keys)
      return `${words.charAt(0).toUpperCase()}${words.slice(1)} made the air drier by ${amount} in the same weather (grade ${grade}).`
    })
}

function rainWords(findings: readonly Finding[], units: Units): string | null {
  const storms = findings.find(({ question, subject }) => question === 'storms' && subject.spot === undefined)
  const since = storms?.evidenceFor[0]
  return storms === undefined || since === undefined ? null : wordedText(since, storms, units)
}

function remediesOf(findings: readonly Finding[], units: Units) {
  return findings.flatMap((finding) => {
    const { remedy } = finding.subject
    if (finding.question !== 'remedies' || remedy === undefined || finding.data === undefined) return []
    const data = finding.data as RemedyData
    const worded = wordedFinding(finding, units)
    return [
      {
        remedy,
        title: `${remedy.charAt(0).toUpperCase()}${remedy.slice(1)}`,
        need: data.need,
        wouldBe: data.wouldBe,
        done: data.done,
        ...pageFinding(finding, units),
        sentence: worded.sentence,
        waitsFor: data.waitsFor === null ? null : wordedText(data.waitsFor, finding, units),
        holds: data.holds,
        data,
      },
    ]
  })
}

function worksOf(tree: HouseTree) {
  const instant = (text: string) => instantOfLocalText(text, tree.timeZone)
  return (tree.works ?? [])
    .map(({ key, kind, from, to, note = null }) => ({
      key,
      kind,
      words: workKindWords(kind),
      at: instant(from),
      to: to === undefined ? null : instant(to),
      date: from,
      note,
    }))
    .sort((a, b) => a.at - b.at)
}

function encapsulatedSince(tree: HouseTree): string | null {
  const work = tree.works?.find(({ kind, to }) => kind === 'encapsulation' && to === undefined)
  return work === undefined ? null : dateWords(work.from)
}

/** Of the largest judged space, as works left it. */
function coverSharePct(tree: HouseTree): number | null {
  const space = tree.spaces.filter(isJudged).sort((a, b) => (b.floorAreaM2 ?? 0) - (a.floorAreaM2 ?? 0))[0]
  const laid = tree.works?.findLast(
    ({ kind, details }) => kind === 'ground cover' || (details?.parts ?? []).includes('ground cover'),
  )
  return laid?.details?.coverSharePct ?? (laid ? 100 : (space?.groundCoverSharePct ?? null))
}
