/**
 * Answers what-ifs of houses whose fit it keeps: the first question about a house waits for the fit, every further one is
 * answered at once. A house that has changed has another fingerprint and is fitted anew.
 */
import { thresholds } from '../../advice/thresholds.ts'
import { createStandingWorker } from '../../jobs/standingWorker.ts'
import { findHouse } from '../../store/houses.ts'
import type { Database } from '../../store/open.ts'
import { readSettings } from '../../store/settings.ts'
import { fingerprintHouse } from '../fingerprint.ts'
import { readHouseRecord } from '../houseRecord.ts'
import type { StudiedHouse } from '../studiedHouse.ts'
import { ofBalance } from './balance.ts'
import type { BalanceUnknown } from './balanceAnswer.ts'
import { type FittedHouse, fittedHouse } from './balanceMaking.ts'
import {
  answerMiddle,
  answerSteps,
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
  /** @throws Superseded, Crowded, Stopping (standingWorker.ts) */
  ask(asker: string, asked: DeskAsked): Promise<WhatIfAnswer | WhatIfMiddleTold>
  stop(): Promise<void>
}

export function createWhatIfDesk(db: Database): WhatIfDesk {
  const worker = createStandingWorker(import.meta.url, db.path)
  return {
    ask: (asker, asked) => worker.ask(asker, asked.part === 'middle' ? 'quick' : 'slow', asked),
    stop: () => worker.stop(),
  }
}

interface KeptHouse {
  house: StudiedHouse
  fitted: FittedHouse | BalanceUnknown
  held: ReturnType<typeof thresholds>
}

/** Beyond it the house asked about longest ago is let go. A fitted house of 16 months holds 13 MB. */
const MOST_KEPT = 3
/** Only in the thread: the last houses asked about, the latest at the end; a promise, so that two who ask at once wait for one fit. */
const kept = new Map<string, { fingerprint: string; made: Promise<KeptHouse> }>()

/** What the thread runs. An interval pauses after each possible house, so that a slider's middle comes in between. */
export async function answer(args: unknown, db: Database): Promise<WhatIfAnswer | WhatIfMiddleTold> {
  const { houseKey, fingerprint, asked, part } = args as DeskAsked
  const { house, fitted, held } = await keptHouse(db, houseKey, fingerprint)
  if ('outcome' in fitted) return fitted
  if (part === 'middle') return answerMiddle(house, fitted, asked, held)
  const steps = answerSteps(house, fitted, asked, held)
  for (;;) {
    const step = steps.next()
    if (step.done) return step.value
    await new Promise((done) => setImmediate(done))
  }
}

function keptHouse(db: Database, houseKey: string, fingerprint: string): Promise<KeptHouse> {
  const found = kept.get(houseKey)
  const one = found?.fingerprint === fingerprint ? found : { fingerprint, made: fitHouse(db, houseKey, fingerprint) }
  kept.delete(houseKey)
  kept.set(houseKey, one)
  for (const oldest of kept.keys()) if (kept.size > MOST_KEPT) kept.delete(oldest)
  return one.made
}

async function fitHouse(db: Database, houseKey: string, fingerprint: string): Promise<KeptHouse> {
  try {
    const [house, row] = [await readHouseRecord(db, houseKey), await findHouse(db, houseKey)]
    if (house === undefined || row === undefined) throw new Error(`The house "${houseKey}" has gone meanwhile.`)
    const settings = await readSettings(db, row)
    if (!(await isStill(db, houseKey, fingerprint))) letGo(houseKey, fingerprint)
    return { house, fitted: fittedHouse(house), held: thresholds(settings.firm, settings.house) }
  } catch (error) {
    letGo(houseKey, fingerprint)
    throw error
  }
}

/** A house that changed between question and reading answers this question with what was read, and is not kept. */
async function isStill(db: Database, houseKey: string, fingerprint: string): Promise<boolean> {
  try {
    const now = await fingerprintHouse(db, houseKey)
    return now !== undefined && ofBalance(now) === fingerprint
  } catch {
    return false // hours have been rebuilt: what they amount to cannot be kept from here
  }
}

function letGo(houseKey: string, fingerprint: string): void {
  if (kept.get(houseKey)?.fingerprint === fingerprint) kept.delete(houseKey)
}
