/** A house as a page for a contractor: how it is, what was seen, what it means, and what is missing. */
import { DEFERS } from '../advice/holds.ts'
import { localDateText } from '../series/localTime.ts'
import type { HouseTree } from '../store/houseTree.ts'
import { type Finding, QUESTIONS, type Question } from './finding.ts'
import type { HouseLevelData, ReasoningData, RemedyData, StormsData, WoodData } from './findingData.ts'
import { couplingTable, levelsTable, rainTable, stormsTable, woodTable } from './pageTables.ts'
import { wrapped } from './pageText.ts'
import { type Units, wordedText } from './wording.ts'

export type PageHouse = Pick<HouseTree, 'name' | 'invented' | 'place' | 'spaces' | 'timeZone'>

export const TITLES: Record<Question, string> = {
  level: 'How it is',
  baseline: 'What has been seen before any work',
  'moisture levels': 'How moist the air is, spot by spot',
  storms: 'After rain',
  'outdoor coupling': 'Whether the air under the house is outdoor air',
  'wood and mold': 'What the wood makes of it',
  condensation: 'Water on cold surfaces',
  freezing: 'Frost',
  'outdoor air': 'Whether outdoor air would have dried it',
  'matched days': 'What each work did, on days of like weather before and after',
  reasoning: 'Where the moisture comes from',
  remedies: 'What it needs, and what it does not',
  'sensor checks': 'Whether the loggers can be believed',
}

/** Everything that was found. */
export function findingsPage(house: PageHouse, findings: readonly Finding[], units: Units): string {
  const lines = headLines(house, findings)
  for (const question of QUESTIONS) {
    const answers = findings.filter((finding) => finding.question === question)
    if (answers.length > 0) lines.push('', TITLES[question], ...sectionLines(house, question, answers, units))
  }
  return `${lines.join('\n')}\n`
}

export function headLines(house: PageHouse, findings: readonly Finding[]): string[] {
  const place = house.place ? `, ${house.place}` : ''
  const lines = [`${house.name}${place}`]
  if (house.invented) lines.push('This house is invented: its readings come from a simulation.')
  const level = findings.find(({ question, subject, data }) => question === 'level' && !subject.space && data)
  if (level) {
    const { recordEnd } = level.data as HouseLevelData
    lines.push(`The record ends on ${localDateText(recordEnd - 1, house.timeZone)}.`)
  }
  return lines
}

function sectionLines(house: PageHouse, question: Question, answers: readonly Finding[], units: Units): string[] {
  const tabled = (make: typeof levelsTable, own = withSpot(answers)) =>
    perSpace(house, own, (some) => make(house, some, units))
  const rest = sentences(withoutSpot(answers), units)
  switch (question) {
    case 'level':
      return answers.flatMap((finding) => levelLines(finding, units))
    case 'moisture levels':
      return [...tabled(levelsTable), ...rest]
    case 'storms':
      return [...rest, ...answers.flatMap((finding) => stormList(house, finding, units)), ...tabled(rainTable)]
    case 'outdoor coupling':
      return [...rest, ...tabled(couplingTable)]
    case 'wood and mold':
      return [...rest, ...tabled(woodTable), ...sentences(actOn(answers), units)]
    case 'reasoning':
      return answers.flatMap((finding) => reasoningLines(finding, units))
    case 'remedies':
      return remediesLines(answers, units)
    default:
      return sentences(answers, units)
  }
}

const withSpot = (findings: readonly Finding[]) => findings.filter(({ subject }) => subject.spot !== undefined)
const withoutSpot = (findings: readonly Finding[]) => findings.filter(({ subject }) => subject.spot === undefined)
const actOn = (findings: readonly Finding[]) =>
  findings.filter(({ data }) => (data as WoodData | undefined)?.state === 'act')

function stormList(house: PageHouse, { data, subject }: Finding, units: Units): string[] {
  if (subject.spot !== undefined || data === undefined) return []
  const list = data as StormsData
  return list.storms.length === 0 ? [] : stormsTable(house, list, units)
}

/** What could not be judged is told once, with the space; spots say only what they cross. */
function levelLines(finding: Finding, units: Units): string[] {
  return findingLines(finding.subject.spot === undefined ? finding : { ...finding, evidenceAgainst: [] }, units)
}

function perSpace(
  { spaces }: PageHouse,
  answers: readonly Finding[],
  linesOf: (own: readonly Finding[]) => string[],
): string[] {
  return spaces.flatMap(({ key, name }) => {
    const own = answers.filter(({ subject }) => subject.space === key)
    return own.length === 0 ? [] : [name, ...linesOf(own)]
  })
}

const sentences = (answers: readonly Finding[], units: Units) => answers.flatMap((one) => findingLines(one, units))

/** The sentence with how sure it is, then what stands against it and what is missing. */
export function findingLines(finding: Finding, units: Units): string[] {
  const worded = (text: string) => wordedText(text, finding, units)
  return [
    ...wrapped(`- ${worded(finding.sentence)} [${finding.certainty}]`, '  '),
    ...finding.evidenceFor.flatMap((text) => wrapped(`    ${worded(text)}`, '      ')),
    ...finding.evidenceAgainst.flatMap((text) => wrapped(`    but: ${worded(text)}`, '      ')),
    ...(finding.missing ?? []).flatMap((text) => wrapped(`    missing: ${worded(text)}`, '      ')),
  ]
}

function reasoningLines(finding: Finding, units: Units): string[] {
  const worded = (text: string) => wordedText(text, finding, units)
  const { nextTest } = (finding.data ?? {}) as Partial<ReasoningData>
  if (finding.subject.source === undefined) {
    return [
      ...wrapped(`- ${worded(finding.sentence)}`, '  '),
      ...finding.evidenceFor.flatMap((text) => wrapped(`    ${worded(text)}`, '      ')),
      ...(nextTest ? wrapped(`    next: ${nextTest}`, '      ') : []),
    ]
  }
  return [
    ...wrapped(`    ${worded(finding.sentence)}`, '      '),
    ...finding.evidenceFor.flatMap((text) => wrapped(`      for: ${worded(text)}`, '        ')),
    ...finding.evidenceAgainst.flatMap((text) => wrapped(`      against: ${worded(text)}`, '        ')),
    ...wrapped(`      would change it: ${worded(finding.wouldChangeIt)}`, '        '),
  ]
}

/** Each hold is spelled out once, below the remedies that wait for it. */
function remediesLines(answers: readonly Finding[], units: Units): string[] {
  const holds = new Set(answers.flatMap(({ data }) => ((data as RemedyData | undefined)?.holds ?? []).map(holdLine)))
  return [
    ...answers.flatMap((finding) => remedyLines(finding, units)),
    ...[...holds].flatMap((text) => wrapped(`  ${text}`, '    ')),
    ...(holds.size > 0 ? wrapped(`  ${DEFERS}`, '    ') : []),
  ]
}

const holdLine = ({ topic, kind, sentence }: RemedyData['holds'][number]): string =>
  `${kind === 'stop' ? 'Held' : 'Record first'} (${topic}): ${sentence}`

/** A remedy that is not needed has its first reason in the sentence already. */
function remedyLines(finding: Finding, units: Units): string[] {
  const data = finding.data as RemedyData | undefined
  const worded = (text: string) => wordedText(text, finding, units)
  const reasons = data?.done ? [] : data?.need === 'not needed' ? finding.evidenceFor.slice(1) : finding.evidenceFor
  return [
    ...wrapped(`- ${worded(finding.sentence)}`, '  '),
    ...reasons.flatMap((text) => wrapped(`    ${worded(text)}`, '      ')),
  ]
}
