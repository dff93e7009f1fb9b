/** Findings of a house, made again only when something they rest on has changed. */
import type { Thresholds } from '../advice/defaults.ts'
import { thresholds } from '../advice/thresholds.ts'
import { readFindings, replaceAllFindings } from '../store/findings.ts'
import { findRadioSpots } from '../store/houseNews.ts'
import { findHouse } from '../store/houses.ts'
import type { Database } from '../store/open.ts'
import { refreshHourly } from '../store/refreshHourly.ts'
import { readSettings } from '../store/settings.ts'
import { baseline } from './baseline.ts'
import { condensation } from './condensation.ts'
import type { Finding, Question } from './finding.ts'
import { QUESTIONS } from './finding.ts'
import type { HouseLevelData } from './findingData.ts'
import { fingerprintHouse } from './fingerprint.ts'
import { freezing } from './freezing.ts'
import { readHouseRecord } from './houseRecord.ts'
import { level } from './level.ts'
import { levelFindings } from './levelWords.ts'
import { matchedDays } from './matchedDays.ts'
import { moistureLevels } from './moistureLevels.ts'
import { outdoorAir } from './outdoorAir.ts'
import { outdoorCoupling } from './outdoorCoupling.ts'
import { reasoning } from './reasoning.ts'
import { remedies } from './remedies.ts'
import { sensorChecks } from './sensorChecks.ts'
import { storms } from './storms.ts'
import type { StudiedHouse } from './studiedHouse.ts'
import { woodAndMold } from './woodAndMold.ts'

const ANSWERS: Record<Question, (house: StudiedHouse, held: Thresholds) => Finding[]> = {
  level,
  baseline,
  'moisture levels': moistureLevels,
  storms,
  'outdoor coupling': outdoorCoupling,
  'wood and mold': woodAndMold,
  condensation,
  freezing,
  'outdoor air': outdoorAir,
  'matched days': matchedDays,
  reasoning,
  remedies,
  'sensor checks': sensorChecks,
}

/**
 * Answers every question anew. Reads only, so it can run in a worker; hour values must be up to date.
 * @returns undefined when there is no such house
 * @throws ThresholdError when the settings of the firm or the house cannot hold
 */
export async function studyHouse(db: Database, houseKey: string): Promise<Finding[] | undefined> {
  const [house, row] = [await readHouseRecord(db, houseKey), await findHouse(db, houseKey)]
  if (house === undefined || row === undefined) return undefined
  const settings = await readSettings(db, row)
  const held = thresholds(settings.firm, settings.house)
  return QUESTIONS.flatMap((question) => ANSWERS[question](house, held))
}

export interface FindingsOptions {
  /** Instant written beside findings made now. */
  now: number
  /** Loggers not heard of for long before this count as silent; null asks as of the last reading. Default: now. */
  asOf?: number | null
  /** How to answer the questions; a service hands in a worker. */
  study?: (houseKey: string) => Promise<Finding[] | undefined>
}

/**
 * Brings hour values up to date, then gives the stored findings if they still hold, else makes and stores new ones.
 * Needs the writing connection. Two at once for one house both answer rightly; houseFindings.ts makes them one.
 * @returns undefined when there is no such house
 */
export async function findingsOf(
  db: Database,
  houseKey: string,
  { now, asOf = now, study = (key) => studyHouse(db, key) }: FindingsOptions,
): Promise<Finding[] | undefined> {
  const house = await fingerprintHouse(db, houseKey)
  if (!house) return undefined
  const { hours } = await refreshHourly(db, house.probeIds)
  const current = hours > 0 ? ((await fingerprintHouse(db, houseKey)) ?? house) : house
  const stored = await readFindings(db, house.houseId)
  const ofQuestion = (question: Question) => stored.filter((row) => row.question === question)
  const holds = stored.every((row) => row.fingerprint === current.fingerprint)
  if (holds && QUESTIONS.every((question) => ofQuestion(question).length > 0)) {
    return told(
      QUESTIONS.flatMap((question) => ofQuestion(question).map((row) => row.body as Finding)),
      asOf,
      await radioOf(db, houseKey),
    )
  }
  const findings = (await study(houseKey)) ?? []
  const rows = findings.map((body) => ({ question: body.question, body }))
  await replaceAllFindings(db, house.houseId, { fingerprint: current.fingerprint, computedAt: now, rows })
  return told(findings, asOf, await radioOf(db, houseKey))
}

/** What was found does not change with the clock, but a logger can have fallen silent since. */
function told(findings: Finding[], asOf: number | null, radio: Awaited<ReturnType<typeof radioOf>>): Finding[] {
  const house = findings.find(
    ({ question, subject, data }) => question === 'level' && subject.space === undefined && data,
  )
  if (house === undefined || asOf === null) return findings
  const data = house.data as HouseLevelData
  const now = levelFindings(data, Math.max(asOf, data.recordEnd), radio)
  const kept = findings.filter(({ question, subject }) => question !== 'level' || subject.period !== undefined)
  return [...now, ...kept]
}

async function radioOf(
  db: Database,
  houseKey: string,
): Promise<{ name: string; spots: ReadonlySet<string> } | undefined> {
  const row = await findHouse(db, houseKey)
  return row && { name: row.name, spots: await findRadioSpots(db, row.id) }
}
