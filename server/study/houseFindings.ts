/** Findings for a service: questions are answered in a worker thread, and callers who ask at once share one answer. */
import { runInWorker } from '../jobs/inWorker.ts'
import type { HouseTree } from '../store/houseTree.ts'
import type { Database } from '../store/open.ts'
import { readHouse } from '../store/readHouse.ts'
import type { Finding } from './finding.ts'
import { findingsOf } from './findings.ts'

export interface HouseFindings {
  house: HouseTree
  findings: Finding[]
}

const WORKER = new URL('./studyWorker.ts', import.meta.url).href

/** @param db the writing connection; the worker opens one of its own */
export function createHouseFindings(db: Database, now: () => number) {
  const underWay = new Map<string, Promise<HouseFindings | undefined>>()
  const study = (houseKey: string) =>
    runInWorker<Finding[] | undefined>(WORKER, { houseKey }, { databasePath: db.path })

  async function make(houseKey: string): Promise<HouseFindings | undefined> {
    const findings = await findingsOf(db, houseKey, { now: now(), study })
    const house = findings && (await readHouse(db, houseKey))
    return findings && house && { house, findings }
  }

  /** @returns undefined when there is no such house */
  return (houseKey: string): Promise<HouseFindings | undefined> => {
    let asked = underWay.get(houseKey)
    if (asked === undefined) {
      asked = make(houseKey).finally(() => underWay.delete(houseKey))
      underWay.set(houseKey, asked)
    }
    return asked
  }
}
