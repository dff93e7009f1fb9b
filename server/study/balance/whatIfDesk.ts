/**
 * Answers what-ifs of houses whose fit it keeps: the first question about a house waits for the fit, every further one is
 * answered at once. A house that has changed has another fingerprint and is fitted anew.
 */
import { thresholds } from '../../advice/thresholds.ts'
import { createStandingWorker } from '../../jobs/standingWorker.ts'
import { findHouse } from '../../store/houses.ts'
import type { Database } from '../../store/open.ts'
import { readSettings } from '../../store/settings.ts'
import { readHouseRecord } from '../houseRecord.ts'
import type { StudiedHouse } from '../studiedHouse.ts'
import type { BalanceUnknown } from './balanceAnswer.ts'
import { type FittedHouse, fittedHouse } from './balanceMaking.ts'
import {
  answerFitted,
  answerMiddle,
  type WhatIfAnswer,
  type WhatIfAsked,
  type WhatIfMiddleTold,
} from './balanceWhatIf.ts'

export type WhatIfPart = 'middle' | 'interval'

export interface DeskAsked {
  /** Of a house whose hour values are up to date. */
  houseKey: string
  fingerprint: string
  asked: WhatIfAsked
  part: WhatIfPart
}

export interface WhatIfDesk {
  /** @throws Superseded when the same asker asked again before this answer began */
  ask(asker: string, asked: DeskAsked): Promise<WhatIfAnswer | WhatIfMiddleTold>
  stop(): Promise<void>
}

export function createWhatIfDesk(db: Database): WhatIfDesk {
  const worker = createStandingWorker(import.meta.url, db.path)
  return { ask: (asker, asked) => worker.ask(asker, asked), stop: () => worker.stop() }
}

interface KeptHouse {
  fingerprint: string
  house: StudiedHouse
  fitted: FittedHouse | BalanceUnknown
  held: ReturnType<typeof thresholds>
}

/** A fitted house of 16 months holds about 30 MB. */
const MOST_KEPT = 3
/** Only in the thread: the last houses asked about, the latest at the end. */
const kept = new Map<string, KeptHouse>()

/** What the thread runs. */
export async function answer(args: unknown, db: Database): Promise<WhatIfAnswer | WhatIfMiddleTold> {
  const { houseKey, fingerprint, asked, part } = args as DeskAsked
  const found = kept.get(houseKey)
  const one = found?.fingerprint === fingerprint ? found : await fitHouse(db, houseKey, fingerprint)
  kept.delete(houseKey)
  kept.set(houseKey, one)
  for (const oldest of kept.keys()) if (kept.size > MOST_KEPT) kept.delete(oldest)
  if ('outcome' in one.fitted) return one.fitted
  return part === 'middle'
    ? answerMiddle(one.house, one.fitted, asked, one.held)
    : answerFitted(one.house, one.fitted, asked, one.held)
}

async function fitHouse(db: Database, houseKey: string, fingerprint: string): Promise<KeptHouse> {
  const [house, row] = [await readHouseRecord(db, houseKey), await findHouse(db, houseKey)]
  if (house === undefined || row === undefined) throw new Error(`The house "${houseKey}" has gone meanwhile.`)
  const settings = await readSettings(db, row)
  return { fingerprint, house, fitted: fittedHouse(house), held: thresholds(settings.firm, settings.house) }
}
