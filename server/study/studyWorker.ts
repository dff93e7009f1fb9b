/** What a worker thread runs to answer every question about a house, on a connection that cannot write. */
import type { WorkerContext } from '../jobs/workerMessages.ts'
import type { Finding } from './finding.ts'
import { studyHouse } from './findings.ts'

/** @param args.houseKey of a house whose hour values are up to date */
export async function run({ houseKey }: { houseKey: string }, { db }: WorkerContext): Promise<Finding[] | undefined> {
  if (db === null) throw new Error('The study of a house needs the path of the database.')
  return studyHouse(db, houseKey)
}
