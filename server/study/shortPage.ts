/** The page in a screenful: state, level, main findings, works, what is missing. */
import { localDateText } from '../series/localTime.ts'
import { type Finding, QUESTIONS, type Question } from './finding.ts'
import type { ReasoningData, RemedyData, SensorFaultData, WoodData, WorkData } from './findingData.ts'
import { headLines, type PageHouse } from './page.ts'
import { spotName } from './pageTables.ts'
import { wrapped } from './pageText.ts'
import { type Units, wordedText } from './wording.ts'

export function shortPage(house: PageHouse, findings: readonly Finding[], units: Units): string {
  const of = (question: Question) => findings.filter((finding) => finding.question === question)
  const bullet = (finding: Finding) => wrapped(`- ${wordedText(finding.sentence, finding, units)}`, '  ')
  const sections: [title: string, lines: string[]][] = [
    ['How it is', levelNow(of('level')).flatMap(bullet)],
    ['What was found', [...mainFindings(of).flatMap(bullet), ...faultLines(house, of('sensor checks'))]],
    ['What each work did, on days of like weather', workLines(of('matched days'), units)],
    ['Where the moisture comes from', of('reasoning').flatMap((finding) => sourceLines(finding, units))],
    ['Remedies', remedyLines(of('remedies'))],
    ['What is missing', missingLines(findings)],
  ]
  const lines = headLines(house, findings)
  for (const [title, own] of sections) if (own.length > 0) lines.push('', title, ...own)
  return `${lines.join('\n')}\n`
}

/** Each space with what set its level, and how its days were in the last period; the house where there is no space. */
function levelNow(answers: readonly Finding[]): Finding[] {
  const spaces = answers.filter(({ subject }) => subject.space && !subject.spot && !subject.period)
  const lastPeriod = answers.findLast(({ subject }) => subject.period !== undefined)?.subject.period
  const periods = answers.filter(({ subject }) => subject.period !== undefined && subject.period === lastPeriod)
  return spaces.length === 0 ? answers.slice(0, 1) : [...spaces, ...periods]
}

function mainFindings(of: (question: Question) => Finding[]): Finding[] {
  const told = (question: Question) =>
    of(question).filter(({ subject, certainty }) => subject.spot === undefined && certainty !== 'cannot tell')
  const rain = told('storms').map((finding): Finding => {
    const [since = ''] = finding.evidenceFor
    return { ...finding, sentence: `${finding.sentence} ${since}`.trim() }
  })
  const worst = [...of('wood and mold')]
    .filter(({ data }) => stateOf(data) === 'act' || stateOf(data) === 'watch')
    .sort((a, b) => Number(stateOf(b.data) === 'act') - Number(stateOf(a.data) === 'act'))
  return [
    ...told('baseline'),
    ...rain,
    ...latestCoupling(of('outdoor coupling')),
    ...worst.slice(0, 1),
    ...of('condensation').filter(({ certainty }) => certainty !== 'cannot tell'),
    ...told('freezing'),
    ...told('outdoor air'),
  ]
}

const stateOf = (data: unknown) => (data as WoodData | undefined)?.state

/** Of the last period, and the first spot: what matters is the kind of air. */
function latestCoupling(answers: readonly Finding[]): Finding[] {
  const told = answers.filter(({ certainty }) => certainty !== 'cannot tell')
  const last = told.at(-1)?.subject.period
  return told.filter(({ subject }) => subject.period === last).slice(0, 1)
}

/** All faults in one line. */
function faultLines(house: PageHouse, checks: readonly Finding[]): string[] {
  const date = (at: number) => localDateText(at, house.timeZone)
  const faults = checks.flatMap(({ subject, data }) => {
    if (subject.spot === undefined || data === undefined) return []
    const { kind, from, to } = data as SensorFaultData
    return [`${spotName(house, subject.spot)} (${kind}, ${date(from)} to ${date(to)})`]
  })
  return faults.length === 0 ? [] : wrapped(`- Faults of loggers: ${faults.join('; ')}.`, '  ')
}

/** Works that cannot be told share one line. */
function workLines(answers: readonly Finding[], units: Units): string[] {
  const told = answers.filter(({ certainty }) => certainty !== 'cannot tell')
  const open = answers.filter(({ certainty }) => certainty === 'cannot tell')
  const lines = told.flatMap((finding) => wrapped(`- ${wordedText(finding.sentence, finding, units)}`, '  '))
  const works = open.flatMap(({ data }) => (data as Partial<WorkData> | undefined)?.what ?? [])
  if (works.length > 0)
    return [...lines, ...wrapped(`- Cannot be told from days of like weather: ${works.join('; ')}.`, '  ')]
  return [...lines, ...open.flatMap((finding) => wrapped(`- ${wordedText(finding.sentence, finding, units)}`, '  '))]
}

function sourceLines(finding: Finding, units: Units): string[] {
  if (finding.subject.source !== undefined) return []
  const { nextTest } = (finding.data ?? {}) as Partial<ReasoningData>
  const next = nextTest ? ` Next: ${nextTest}` : ''
  return wrapped(`- ${wordedText(finding.sentence, finding, units)}${next}`, '  ')
}

const WORDS = {
  needed: 'Needed',
  'not yet': 'Not yet',
  held: 'Held: record this first',
  'not needed': 'Not needed',
  done: 'Done',
} as const

function remedyLines(remedies: readonly Finding[]): string[] {
  const told = remedies.flatMap(({ subject, data }) =>
    data ? [{ name: subject.remedy, ...(data as RemedyData) }] : [],
  )
  return (Object.keys(WORDS) as (keyof typeof WORDS)[]).flatMap((word) => {
    const own = told.filter(({ need, done }) => (done ? 'done' : need) === word)
    if (own.length === 0) return []
    const holds = own.flatMap((remedy) => remedy.holds)
    const topics = [...new Set(holds.map(({ topic }) => topic))]
    const lead = holds.some(({ kind }) => kind === 'stop') ? 'Held' : WORDS[word]
    const what = topics.length === 0 ? lead : `${lead} (${topics.join(', ')})`
    return wrapped(`- ${what}: ${own.map(({ name }) => name).join(', ')}.`, '  ')
  })
}

/** Each missing thing once, with the questions that wait for it. */
function missingLines(findings: readonly Finding[]): string[] {
  const waiting = new Map<string, Set<Question>>()
  for (const question of QUESTIONS) {
    for (const { missing = [], subject } of findings.filter((finding) => finding.question === question)) {
      if (subject.source !== undefined || (question === 'storms' && subject.spot !== undefined)) continue
      for (const thing of missing) waiting.set(thing, (waiting.get(thing) ?? new Set()).add(question))
    }
  }
  return [...waiting]
    .sort(([, a], [, b]) => b.size - a.size)
    .slice(0, 5)
    .flatMap(([thing, of]) => wrapped(`- ${thing.replace(/\.$/, '')} (for: ${[...of].join(', ')})`, '  '))
}
