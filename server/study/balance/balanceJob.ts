/** The job kind `balance`: asked for by pages, made in a worker, kept, and made once however many ask. */
import { JobFailure, type JobHandler, type Queue } from '../../jobs/queue.ts'
import { findHouse, listHouses } from '../../store/houses.ts'
import { findJobs, type Job } from '../../store/jobs.ts'
import type { Database } from '../../store/open.ts'
import { keepBalance, keptBalance } from './balance.ts'
import type { BalanceAnswer } from './balanceAnswer.ts'
import type { BalanceMade } from './balanceMaking.ts'
import type { WhatIfAnswer, WhatIfAsked, WhatIfMiddleTold } from './balanceWhatIf.ts'
import { makeBalanceInWorker, type WorkerControl } from './balanceWorker.ts'
import type { WhatIfDesk, WhatIfPart } from './whatIfDesk.ts'

export const BALANCE_KIND = 'balance'

interface BalanceJobArgs {
  houseKey: string
  /** Of the house when it was asked; tells whether a job that failed would fail again. */
  fingerprint: string
}

type Make = (db: Database, houseKey: string, control: WorkerControl) => Promise<BalanceMade>

/** @param make a worker makes it unless a test does */
export const balanceHandler =
  ({
    db,
    now,
    make = makeBalanceInWorker,
  }: {
    db: Database
    now: () => number
    make?: Make
  }): JobHandler<BalanceJobArgs> =>
  async ({ houseKey }, { signal, progress }) => {
    const found = await keptBalance(db, houseKey)
    if (found === undefined) throw new JobFailure(`The house "${houseKey}" has gone meanwhile.`)
    if (found.kept === null) {
      const onProgress = (share: number, message: string) => progress(share, 1, message)
      const made = await make(db, houseKey, { signal, onProgress })
      await keepBalance(db, found.houseId, { ...made, fingerprint: found.fingerprint, computedAt: now() })
    }
    return { fingerprint: found.fingerprint }
  }

export type BalanceState =
  | { state: 'ready'; answer: BalanceAnswer; computedAt: number }
  | { state: 'being made'; job: Job }
  /** The latest try for this very record failed or was canceled; it begins again only when asked to. */
  | { state: 'stopped'; job: Job }

export interface Balances {
  /** Key of a house named by its number or by its key. */
  houseKey(numberOrKey: string): Promise<string | undefined>
  /** undefined when there is no such house. `again` begins anew what had stopped. */
  ask(houseKey: string, again?: boolean): Promise<BalanceState | undefined>
  /** False when nothing was under way. */
  cancel(houseKey: string): Promise<boolean>
  /** @param asker whoever asks again before an answer began drops the older question */
  whatIf(
    houseKey: string,
    asked: WhatIfAsked,
    how: { part: WhatIfPart; asker: string },
  ): Promise<WhatIfAnswer | WhatIfMiddleTold | undefined>
}

/** How far back a house's latest job is looked for. */
const RECENT_JOBS = 200

/** @param db the writing connection; the queue must know `BALANCE_KIND` */
export function createBalances(
  db: Database,
  queue: Pick<Queue, 'add' | 'find' | 'cancel'>,
  desk: Pick<WhatIfDesk, 'ask'>,
): Balances {
  let asking: Promise<unknown> = Promise.resolve()

  const latestJob = async (houseKey: string) =>
    (await findJobs(db, RECENT_JOBS)).find(
      ({ kind, args }) => kind === BALANCE_KIND && (args as BalanceJobArgs).houseKey === houseKey,
    )

  async function ask(houseKey: string, again: boolean): Promise<BalanceState | undefined> {
    const found = await keptBalance(db, houseKey)
    if (found === undefined) return undefined
    if (found.kept !== null) return { state: 'ready', ...found.kept }
    const job = await latestJob(houseKey)
    if (job !== undefined && job.finishedAt === null) return { state: 'being made', job }
    const failedOnThis =
      job?.state !== 'done' && (job?.args as BalanceJobArgs | undefined)?.fingerprint === found.fingerprint
    if (job !== undefined && failedOnThis && !again) return { state: 'stopped', job }
    const id = await queue.add(BALANCE_KIND, { houseKey, fingerprint: found.fingerprint }, found.houseId)
    return { state: 'being made', job: (await queue.find(id))! }
  }

  return {
    async houseKey(numberOrKey) {
      const ofKey = await findHouse(db, numberOrKey)
      return ofKey?.key ?? (await listHouses(db)).find(({ id }) => String(id) === numberOrKey)?.key
    },
    // One after the other, so that two who ask at once find one job.
    ask(houseKey, again = false) {
      const asked = asking.then(() => ask(houseKey, again))
      asking = asked.catch(() => {})
      return asked
    },
    async cancel(houseKey) {
      const job = await latestJob(houseKey)
      return job !== undefined && job.finishedAt === null && (await queue.cancel(job.id))
    },
    async whatIf(houseKey, asked, { part, asker }) {
      const found = await keptBalance(db, houseKey)
      return found && desk.ask(asker, { houseKey, fingerprint: found.fingerprint, asked, part })
    },
  }
}
