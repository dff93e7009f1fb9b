/** The moisture balance of a house, kept until something it rests on changes. */
import { readFindings, replaceFinding } from '../../store/findings.ts'
import type { Database } from '../../store/open.ts'
import { refreshHourly } from '../../store/refreshHourly.ts'
import { fingerprintHouse, type HouseFingerprint } from '../fingerprint.ts'
import type { BalanceAnswer } from './balanceAnswer.ts'
import type { BalanceMade } from './balanceMaking.ts'
import type { EffectDays } from './effectDays.ts'

const QUESTION = 'moisture balance'
/** Long, and only drawn: kept beside the answers under the same fingerprint. */
const DAYS_QUESTION = 'moisture balance by day'
/** Raise it with every change of the model, or of what is told of it; kept balances are then made anew. */
export const BALANCE_VERSION = 9

export interface KeptBalance {
  houseId: number
  fingerprint: string
  /** null when there is none for this fingerprint. */
  kept: { answer: BalanceAnswer; computedAt: number } | null
}

/** What a house is now, for its balance and whatever is fitted with it. */
export const ofBalance = ({ fingerprint }: HouseFingerprint): string => `${fingerprint}.${BALANCE_VERSION}`

/**
 * Brings hour values up to date and looks whether the kept balance still holds. Needs the writing connection.
 * @returns undefined when there is no such house
 */
export async function keptBalance(db: Database, houseKey: string): Promise<KeptBalance | undefined> {
  const house = await fingerprintHouse(db, houseKey)
  if (!house) return undefined
  const { hours } = await refreshHourly(db, house.probeIds)
  const current = hours > 0 ? ((await fingerprintHouse(db, houseKey)) ?? house) : house
  const fingerprint = ofBalance(current)
  const [row] = await readFindings(db, house.houseId, QUESTION)
  const holds = row?.fingerprint === fingerprint
  return {
    houseId: house.houseId,
    fingerprint,
    kept: holds ? { answer: row.body as BalanceAnswer, computedAt: row.computedAt } : null,
  }
}

/** @param fingerprint of what it was made from, as looked up before it was made */
export async function keepBalance(
  db: Database,
  houseId: number,
  made: BalanceMade & { fingerprint: string; computedAt: number },
): Promise<void> {
  const { fingerprint, computedAt, answer, effectDays } = made
  // The days first: whoever finds the answers finds the days as well.
  await replaceFinding(db, houseId, DAYS_QUESTION, { fingerprint, computedAt, body: effectDays })
  await replaceFinding(db, houseId, QUESTION, { fingerprint, computedAt, body: answer })
}

/** Each work day by day, of the balance that is kept for this fingerprint; empty when none is. */
export async function keptEffectDays(
  db: Database,
  { houseId, fingerprint }: Pick<KeptBalance, 'houseId' | 'fingerprint'>,
): Promise<EffectDays[]> {
  const [row] = await readFindings(db, houseId, DAYS_QUESTION)
  return row?.fingerprint === fingerprint ? (row.body as EffectDays[]) : []
}

/**
 * The kept balance, or one made now and kept.
 * @param make how to make it, in a worker so that nothing waits for it
 * @returns undefined when there is no such house
 */
export async function balanceOf(
  db: Database,
  houseKey: string,
  { now, make }: { now: () => number; make: (houseKey: string) => Promise<BalanceMade> },
): Promise<{ answer: BalanceAnswer; computedAt: number } | undefined> {
  const found = await keptBalance(db, houseKey)
  if (found === undefined || found.kept !== null) return found?.kept ?? undefined
  const made = await make(houseKey)
  const computedAt = now()
  await keepBalance(db, found.houseId, { ...made, computedAt, fingerprint: found.fingerprint })
  return { answer: made.answer, computedAt }
}
