/** Sections of a house's page that are findings put in order: storms, risk, baseline, everything else. */
import type { Finding, Question } from '../finding.ts'
import type { BaselineData, StormsData, WoodData } from '../findingData.ts'
import { type Units, wordedFinding } from '../wording.ts'

export interface PageFinding {
  sentence: string
  certainty: Finding['certainty']
  evidenceFor: string[]
  evidenceAgainst: string[]
  wouldChangeIt: string
  missing: string[]
}

export function pageFinding(finding: Finding, units: Units): PageFinding {
  const { missing = [], ...worded } = wordedFinding(finding, units)
  return { ...worded, missing, certainty: finding.certainty }
}

export function stormsOf(findings: readonly Finding[], units: Units) {
  const own = findings.filter(({ question }) => question === 'storms')
  const summary = own.filter(({ subject }) => subject.spot === undefined)
  const storms = summary.flatMap(({ data }) => (data as StormsData | undefined)?.storms ?? [])
  return {
    summary: summary.map((finding) => pageFinding(finding, units)),
    storms: storms.map(({ date, rainMm, atLeast, responses }) => ({
      date,
      rainMm,
      atLeast,
      responses: responses.map(({ spot, changePa, lowPa, highPa, clear, reason }) => ({
        spot,
        changePa,
        lowPa,
        highPa,
        clear,
        reason,
      })),
    })),
  }
}

export function riskOf(findings: readonly Finding[], letters: ReadonlyMap<string, string>, units: Units) {
  return findings.flatMap((finding) => {
    const { spot } = finding.subject
    if (finding.question !== 'wood and mold' || spot === undefined || finding.data === undefined) return []
    const { topic, state } = finding.data as WoodData
    return [{ spot, letter: letters.get(spot) ?? '', topic, state, finding: pageFinding(finding, units) }]
  })
}

const COUNTS: Record<keyof BaselineData['have'], string> = {
  completeDays: 'complete days',
  storms: 'storms',
  dryDays: 'dry days',
  humidDays: 'humid days',
  coldDryDays: 'cold dry days',
}

export function baselineOf(findings: readonly Finding[], units: Units) {
  const finding = findings.find(({ question, data }) => question === 'baseline' && data !== undefined)
  if (finding === undefined) return null
  const { stage, have, next } = finding.data as BaselineData
  return {
    stage,
    sentence: wordedFinding(finding, units).sentence,
    counts: (Object.keys(COUNTS) as (keyof BaselineData['have'])[]).map((key) => {
      const wanted = next?.missing.find(({ what }) => what === COUNTS[key])
      return { what: COUNTS[key], have: have[key], need: wanted?.wanted ?? null, stage: wanted ? next!.stage : null }
    }),
  }
}

/** What has a place of its own on the page is not told again among the findings. */
const HEADINGS: [question: Question, heading: string][] = [
  ['reasoning', 'Order of reasoning'],
  ['moisture levels', 'Dew point and vapor, period by period'],
  ['outdoor coupling', 'Against outdoor air'],
  ['outdoor air', 'Would outdoor air dry it'],
  ['condensation', 'Condensation'],
  ['freezing', 'Freezing'],
  ['matched days', 'Works on days of like weather'],
  ['sensor checks', 'Sensor checks'],
]

export function otherFindings(findings: readonly Finding[], units: Units) {
  return HEADINGS.flatMap(([question, heading]) => {
    const own = findings.filter((finding) => finding.question === question)
    return own.length === 0 ? [] : [{ heading, findings: own.map((finding) => pageFinding(finding, units)) }]
  })
}
