/**
 * A guided check of probes from beginning to end. While it lasts its probes hang nowhere: what they read in the box is
 * not the air of a house. What is found is stored as dated corrections in the house of each probe, where it can be undone.
 */
import { thresholds } from '../advice/thresholds.ts'
import { localDateText } from '../series/localTime.ts'
import { CHECK_SALTS, type CheckSalt } from '../series/saltCheck.ts'
import { changeHouse } from '../store/changeHouse.ts'
import { listHouses } from '../store/houses.ts'
import type { Database } from '../store/open.ts'
import {
  addCheck,
  addLooseCorrection,
  type CheckableProbe,
  type CheckKind,
  type CheckRow,
  endCheck,
  findCheck,
  findCheckableProbes,
  findChecks,
} from '../store/sensorChecks.ts'
import { readFirmSettings } from '../store/settings.ts'
import { endedProbe, endWords, whyOf } from './checks/ended.ts'
import { byHouse, hangAgainIn, takeDown, withEnd } from './checks/inHouse.ts'
import { listProbes, MOST_LISTED } from './checks/listed.ts'
import { checkStanding } from './checks/standing.ts'
import {
  CheckRefused,
  type ChecksListed,
  type FinishAsked,
  type FinishedCheck,
  type GuidedCheck,
  probeName,
} from './checks/types.ts'

const MINUTE_MS = 60_000
const DAY_MS = 86_400_000

export interface GuidedChecks {
  list(): Promise<ChecksListed>
  /** @param until as if it were read at that instant, such as when the box was opened */
  read(id: number, until?: number): Promise<GuidedCheck>
  begin(asked: { kind: CheckKind; probes: string[]; salt: string | null }, who: string): Promise<number>
  finish(id: number, asked: FinishAsked, who: string): Promise<void>
  giveUp(id: number, asked: { hangAgain: boolean }, who: string): Promise<void>
}

interface HangBack {
  house: string
  group: readonly { path: string }[]
  startedAt: number
  at: number
  kind: CheckKind
  who: string
}

export function createGuidedChecks(db: Database, now: () => number): GuidedChecks {
  /** Checks that are being ended: two who press at once must not store twice. */
  const ending = new Set<number>()

  async function found(id: number): Promise<CheckRow> {
    const check = await findCheck(db, id)
    if (!check) throw new CheckRefused('not found', `There is no check ${id}.`, 'Open the list of checks.')
    return check
  }

  async function once(id: number, work: (check: CheckRow) => Promise<void>): Promise<void> {
    const over = new CheckRefused('not now', `Check ${id} has ended already.`, 'Load the page again.')
    if (ending.has(id)) throw over
    ending.add(id)
    try {
      const check = await found(id)
      if (check.state !== 'running') throw over
      await work(check)
    } finally {
      ending.delete(id)
    }
  }

  async function hangBack({ house, group, startedAt, at, kind, who }: HangBack): Promise<void> {
    const what = `gave a ${kind} check up: ${group.map(({ path }) => path).join(', ')} hung again`
    await changeHouse(db, house, { now: at, who, what }, (tree) =>
      group.reduce((next, { path }) => hangAgainIn(next, path, startedAt, at).tree, tree),
    )
  }

  const limits = async () => thresholds(await readFirmSettings(db))

  return {
    async list() {
      const checks = await findChecks(db, MOST_LISTED)
      const probes = await listProbes(db, checks, now())
      const houses = (await listHouses(db)).map(({ key, name, invented }) => ({ key, name, invented }))
      return { checks: checks.map(({ result, ...row }) => ({ ...row, ended: endedOf(result) })), probes, houses }
    },

    async read(id, until) {
      const check = await found(id)
      const { result, ...row } = check
      const standing =
        check.state === 'running'
          ? await checkStanding(db, check, await findCheckableProbes(db, check.startedAt), {
              now: openedAt(check, until, now()),
              limits: await limits(),
            })
          : null
      return { ...row, standing, ended: endedOf(result) }
    },

    async begin({ kind, probes, salt }, who) {
      const at = Math.floor(now() / MINUTE_MS) * MINUTE_MS // dates of a house are told by the minute
      const asked = await probesToCheck(db, { kind, probes, salt }, at)
      const id = await addCheck(db, { kind, probes, salt, startedAt: at, who })
      if (id === undefined) {
        const message = 'One of these probes is in another check meanwhile.'
        throw new CheckRefused('cannot begin', message, 'Finish that one or give it up.')
      }
      const hung = byHouse(asked.filter((probe) => probe.hung !== null))
      const down: string[] = []
      try {
        for (const [house, group] of hung) {
          const what = `took down for a ${kind} check: ${group.map(({ path }) => path).join(', ')}`
          await changeHouse(db, house, { now: now(), who, what }, (tree) => takeDown(tree, group, at))
          down.push(house)
        }
      } catch (error) {
        for (const house of down) await hangBack({ house, group: hung.get(house)!, startedAt: at, at, kind, who })
        await endCheck(db, id, { state: 'given up', endedAt: at, result: null })
        throw error
      }
      return id
    },

    finish: (id, asked, who) =>
      once(id, async (check) => {
        const at = now()
        const known = await findCheckableProbes(db, check.startedAt)
        const standing = await checkStanding(db, check, known, {
          now: openedAt(check, asked.until, at),
          limits: await limits(),
        })
        if (!standing.ready) {
          throw new CheckRefused('not now', standing.sentence, 'Wait until it has settled, or give the check up.')
        }
        const ended = standing.probes.map((probe) => endedProbe(probe, known, asked))
        const hanging = new Set((await findCheckableProbes(db, at)).filter(({ hung }) => hung).map(({ path }) => path))
        for (const [house, group] of byHouse(ended)) {
          const what = `${check.kind} check: ${group.map(endWords).join('; ')}`
          await changeHouse(db, house, { now: at, who, what }, (tree) =>
            group.reduce((next, probe) => withEnd(next, probe, { check, asked, at, hanging }), tree),
          )
        }
        for (const probe of ended) {
          if (probe.house !== null) continue
          const day = localDateText(check.startedAt - DAY_MS, 'UTC')
          for (const one of probe.stored) {
            const { id: probeId } = known.find(({ path }) => path === probe.path)!
            await addLooseCorrection(db, probeId, { ...one, day, why: whyOf(check, probe, at) })
          }
        }
        const result: FinishedCheck = { sentence: standing.sentence, probes: ended }
        await endCheck(db, id, { state: 'done', endedAt: at, result })
      }),

    giveUp: (id, { hangAgain }, who) =>
      once(id, async (check) => {
        const at = now()
        if (hangAgain) {
          const hung = new Set((await findCheckableProbes(db, at)).filter((one) => one.hung).map(({ path }) => path))
          const known = await findCheckableProbes(db, check.startedAt)
          const down = known.filter(
            ({ path, house }) => house !== null && check.probes.includes(path) && !hung.has(path),
          )
          for (const [house, group] of byHouse(down)) {
            await hangBack({ house, group, startedAt: check.startedAt, at, kind: check.kind, who })
          }
        }
        await endCheck(db, id, { state: 'given up', endedAt: at, result: null })
      }),
  }
}

function openedAt({ startedAt }: CheckRow, until: number | undefined, now: number): number {
  if (until === undefined) return now
  if (until > startedAt && until <= now) return until
  throw new CheckRefused(
    'not now',
    'The box cannot have been opened then.',
    'Give a time between its beginning and now.',
  )
}

const endedOf = (result: unknown): FinishedCheck | null => (result === null ? null : (result as FinishedCheck))

async function probesToCheck(
  db: Database,
  { kind, probes, salt }: { kind: CheckKind; probes: readonly string[]; salt: string | null },
  at: number,
): Promise<CheckableProbe[]> {
  const refuse = (message: string, hint: string) => new CheckRefused('cannot begin', message, hint)
  if (new Set(probes).size < probes.length) throw refuse('A probe is named twice.', 'Name each once.')
  if (kind === 'side by side' && probes.length < 2) {
    throw refuse('One probe alone has nothing to agree with.', 'Lay two or more together, or check it over salt.')
  }
  if (kind === 'salt' && !CHECK_SALTS.includes(salt as CheckSalt)) {
    throw refuse(`There is no salt "${salt}" here.`, `Use one of ${CHECK_SALTS.join(', ')}.`)
  }
  const known = await findCheckableProbes(db, at)
  const runs = (await findChecks(db, MOST_LISTED)).filter(({ state }) => state === 'running')
  return probes.map((path) => {
    const probe = known.find((one) => one.path === path)
    if (!probe) throw refuse(`There is no probe "${path}" in service.`, 'Choose from the list.')
    const other = runs.find((check) => check.probes.includes(path))
    if (other) throw refuse(`${probeName(probe)} is in check ${other.id} already.`, 'Finish that one or give it up.')
    return probe
  })
}
