/** The moisture balance of a house, kept until something it rests on changes. */
import { readFindings, replaceFinding } from '../../store/findings.ts'
import type { Database } from '../../store/open.ts'
import { fingerprintHouse } from '../fingerprint.ts'
import { refreshHourly } from '../refreshHourly.ts'
import type { BalanceAnswer } from './balanceAnswer.ts'

const QUESTION = 'moisture balance'
/** Raise it with every change of the model, or of what is told of it; kept balances are then made anew. */
export const BALANCE_VERSION = 3

export interface KeptBalance {
  houseId: number
  fingerprint: string
  /** null when there is none for this fingerprint. */
  kept: { answer: BalanceAnswer; computedAt: number } | null
}

/**
 * Brings hour values up to date and looks whether the kept balance still holds. Needs the writing connection.
 * @returns undefined when there is no such house
 */
export async function keptBalance(db: Database, houseKey: string): Promise<KeptBalance | undefined> {
  const house = await fingerprintHouse(db, houseKey)
  if (!house) return undefined
  const { hours } = await refreshHourly(db, house.probeIds)
  const current = hours > 0 ? ((await fingerprintHouse(db, houseKey)) ?? house) : house
  const fingerprint = `${current.fingerprint}.${BALANCE_VERSION}`
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
  made: { fingerprint: string; computedAt: number; answer: BalanceAnswer },
): Promise<void> {
  const { fingerprint, computedAt, answer } = made
  await replaceFinding(db, houseId, QUESTION, { fingerprint, computedAt, body: answer })
}

/**
 * The kept balance, or one made now and kept.
 * @param make how to make it, in a worker so that nothing waits for it
 * @returns undefined when there is no such house
 */
export async function balanceOf(
  db: Database,
  houseKey: string,
  { now, make }: { now: () => number; make: (houseKey: string) => Promise<BalanceAnswer> },
): Promise<{ answer: BalanceAnswer; computedAt: number } | undefined> {
  const found = await keptBalance(db, houseKey)
  if (found === undefined || found.kept !== null) return found?.kept ?? undefined
  const made = { answer: await make(houseKey), computedAt: now() }
  await keepBalance(db, found.houseId, { ...made, fingerprint: found.fingerprint })
  return made
}
