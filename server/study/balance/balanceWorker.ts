/** What a worker thread runs: the balance of a house, or a what-if on it, on a connection that cannot write. */
import { thresholds } from '../../advice/thresholds.ts'
import { runInWorker } from '../../jobs/inWorker.ts'
import type { WorkerContext } from '../../jobs/workerMessages.ts'
import { findHouse } from '../../store/houses.ts'
import type { Database } from '../../store/open.ts'
import { readSettings } from '../../store/settings.ts'
import { readHouseRecord } from '../houseRecord.ts'
import { type BalanceMade, makeBalance } from './balanceMaking.ts'
import { answerWhatIf, type WhatIfAnswer, type WhatIfAsked } from './balanceWhatIf.ts'
import { withMachineReadings } from './machineReadings.ts'

export interface WorkerAsked {
  /** Of a house whose hour values are up to date. */
  houseKey: string
  /** The balance itself when left out. */
  whatIf?: WhatIfAsked
}

export async function run(
  { houseKey, whatIf }: WorkerAsked,
  { db, progress }: WorkerContext,
): Promise<BalanceMade | WhatIfAnswer> {
  if (db === null) throw new Error('The balance of a house needs the path of the database.')
  const [read, row] = [await readHouseRecord(db, houseKey), await findHouse(db, houseKey)]
  if (read === undefined || row === undefined) throw new Error(`The house "${houseKey}" has gone meanwhile.`)
  const house = await withMachineReadings(db, read)
  const tell = (share: number, message: string) => progress(share, 1, message)
  const settings = await readSettings(db, row)
  const held = thresholds(settings.firm, settings.house)
  return whatIf === undefined ? makeBalance(house, tell, held) : answerWhatIf(house, whatIf, held, tell)
}

export interface WorkerControl {
  /** Ends the thread, wherever it is. */
  signal?: AbortSignal
  onProgress?: (share: number, message: string) => void
}

export const makeBalanceInWorker = (db: Database, houseKey: string, control: WorkerControl = {}) =>
  inWorker<BalanceMade>(db, { houseKey }, control)

/** Hour values must be up to date. */
export const whatIfInWorker = (db: Database, houseKey: string, whatIf: WhatIfAsked, control: WorkerControl = {}) =>
  inWorker<WhatIfAnswer>(db, { houseKey, whatIf }, control)

function inWorker<Result>(db: Database, asked: WorkerAsked, { signal, onProgress }: WorkerControl): Promise<Result> {
  return runInWorker<Result>(import.meta.url, asked, {
    databasePath: db.path,
    ...(signal && { signal }),
    ...(onProgress && { onProgress: (share, _, message) => onProgress(share, message) }),
  })
}
