/** Findings of a house, made again only when something they rest on has changed. */
import { readFindings, replaceFindings } from '../store/findings.ts'
import type { Database } from '../store/open.ts'
import type { Finding, Question } from './finding.ts'
import { QUESTIONS } from './finding.ts'
import { fingerprintHouse } from './fingerprint.ts'
import { readHouseRecord } from './houseRecord.ts'
import { matchedDays } from './matchedDays.ts'
import { moistureLevels } from './moistureLevels.ts'
import { refreshHourly } from './refreshHourly.ts'
import { sensorChecks } from './sensorChecks.ts'
import type { StudiedHouse } from './studiedHouse.ts'

const ANSWERS: Record<Question, (house: StudiedHouse) => Finding[]> = {
  'sensor checks': sensorChecks,
  'moisture levels': moistureLevels,
  'matched days': matchedDays,
}

/**
 * Answers every question anew. Reads only, so it can run in a worker; hour values must be up to date.
 * @returns undefined when there is no such house
 */
export async function studyHouse(db: Database, houseKey: string): Promise<Finding[] | undefined> {
  const house = await readHouseRecord(db, houseKey)
  return house && QUESTIONS.flatMap((question) => ANSWERS[question](house))
}

export interface FindingsOptions {
  /** Instant written beside findings made now. */
  now: number
  /** How to answer the questions; a service hands in a worker. */
  study?: (houseKey: string) => Promise<Finding[] | undefined>
}

/**
 * Brings hour values up to date, then gives the stored findings if they still hold, else makes and stores new ones.
 * Needs the writing connection.
 * @returns undefined when there is no such house
 */
export async function findingsOf(
  db: Database,
  houseKey: string,
  { now, study = (key) => studyHouse(db, key) }: FindingsOptions,
): Promise<Finding[] | undefined> {
  const house = await fingerprintHouse(db, houseKey)
  if (!house) return undefined
  const { hours } = await refreshHourly(db, house.probeIds)
  const current = hours > 0 ? ((await fingerprintHouse(db, houseKey)) ?? house) : house
  const stored = await readFindings(db, house.houseId)
  const holds = QUESTIONS.every((question) => {
    const rows = stored.filter((row) => row.question === question)
    return rows.length > 0 && rows.every((row) => row.fingerprint === current.fingerprint)
  })
  if (holds) {
    return QUESTIONS.flatMap((question) =>
      stored.filter((row) => row.question === question).map((row) => row.body as Finding),
    )
  }
  const findings = (await study(houseKey)) ?? []
  for (const question of QUESTIONS) {
    const bodies = findings.filter((finding) => finding.question === question)
    await replaceFindings(db, house.houseId, question, { fingerprint: current.fingerprint, computedAt: now, bodies })
  }
  return findings
}
