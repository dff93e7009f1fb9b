/**
 * A guided check of probes from beginning to end. While it lasts its probes hang nowhere: what they read in the box is
 * not the air of a house. What is found is stored as dated corrections in the house of each probe, where it can be undone.
 */
import { thresholds } from '../advice/thresholds.ts'
import { instantOfLocalText, localDateText, localTimeText } from '../series/localTime.ts'
import { CHECK_SALTS, type CheckSalt } from '../series/saltCheck.ts'
import { changeHouse } from '../store/changeHouse.ts'
import { listHouses } from '../store/houses.ts'
import type { HouseTree, ProbeTree } from '../store/houseTree.ts'
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
import { type CheckedProbe, type CheckStanding, checkStanding, type ProbeCorrection, probeName } from './checkView.ts'

const MINUTE_MS = 60_000
const DAY_MS = 86_400_000
export const MOST_LISTED = 40

/** Why a step of a check is not possible; the message and the hint are sentences for people. */
export class CheckRefused extends Error {
  override name = 'CheckRefused'
  readonly kind: 'not found' | 'cannot begin' | 'not now'
  readonly hint: string
  constructor(kind: CheckRefused['kind'], message: string, hint: string) {
    super(message)
    this.kind = kind
    this.hint = hint
  }
}

/** `store`: what was found is added to its readings. `keep`: it stays as it is. `reject`: it hangs nowhere from now on. */
export type CheckAct = 'store' | 'keep' | 'reject'

/** What became of a probe when the check was finished. */
export interface EndedProbe extends CheckedProbe {
  act: CheckAct
  house: string | null
  stored: ProbeCorrection[]
  /** Where it hangs again; null when nowhere. */
  hungAgain: string | null
}

export interface FinishedCheck {
  sentence: string
  probes: EndedProbe[]
}

export interface GuidedCheck extends Omit<CheckRow, 'result' | 'probes'> {
  standing: CheckStanding | null
  ended: FinishedCheck | null
  probes: string[]
}

export interface FinishAsked {
  acts: readonly { probe: string; act: CheckAct }[]
  /** Corrections hold from this check on, or from when the probe was hung where it hung last. */
  since: 'check' | 'placed'
  hangAgain: boolean
  /** When the box was opened, for loggers that are read out afterwards; now when left out. */
  until?: number
}

export interface ListedProbe extends Omit<CheckableProbe, 'id'> {
  name: string
  /** Of the check it is in now. */
  inCheck: number | null
  /** When a check rejected it, and none was done since. */
  rejectedAt: number | null
  checkedAt: number | null
}

export interface ChecksListed {
  checks: Omit<GuidedCheck, 'standing'>[]
  probes: ListedProbe[]
  houses: { key: string; name: string; timeZone: string }[]
}

export interface GuidedChecks {
  list(): Promise<ChecksListed>
  /** @param until as if it were read at that instant, such as when the box was opened */
  read(id: number, until?: number): Promise<GuidedCheck>
  begin(asked: { kind: CheckKind; probes: string[]; salt: string | null }, who: string): Promise<number>
  finish(id: number, asked: FinishAsked, who: string): Promise<void>
  giveUp(id: number, asked: { hangAgain: boolean }, who: string): Promise<void>
}

export function createGuidedChecks(db: Database, now: () => number): GuidedChecks {
  /** Checks that are being ended: two who press at once must not store twice. */
  const ending = new Set<number>()

  async function running(id: number): Promise<CheckRow> {
    const check = await findCheck(db, id)
    if (!check) throw new CheckRefused('not found', `There is no check ${id}.`, 'Open the list of checks.')
    if (check.state !== 'running' || ending.has(id)) {
      throw new CheckRefused('not now', `Check ${id} has ended already.`, 'Load the page again.')
    }
    return check
  }

  async function once(id: number, work: (check: CheckRow) => Promise<void>): Promise<void> {
    const check = await running(id)
    ending.add(id)
    try {
      await work(check)
    } finally {
      ending.delete(id)
    }
  }

  const limits = async () => thresholds(await readFirmSettings(db))

  return {
    async list() {
      const checks = await findChecks(db, MOST_LISTED)
      const probes = await listProbes(db, checks, now())
      const houses = (await listHouses(db)).map(({ key, name, timeZone }) => ({ key, name, timeZone }))
      return { checks: checks.map(({ result, ...row }) => ({ ...row, ended: endedOf(result) })), probes, houses }
    },

    async read(id, until) {
      const check = await findCheck(db, id)
      if (!check) throw new CheckRefused('not found', `There is no check ${id}.`, 'Open the list of checks.')
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
      try {
        for (const [house, group] of byHouse(asked.filter(({ hung }) => hung !== null))) {
          const what = `took down for a ${kind} check: ${group.map(({ path }) => path).join(', ')}`
          await changeHouse(db, house, { now: now(), who, what }, (tree) => takeDown(tree, group, at))
        }
      } catch (error) {
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
            const what = `gave a ${check.kind} check up: ${group.map(({ path }) => path).join(', ')} hung again`
            await changeHouse(db, house, { now: at, who, what }, (tree) =>
              group.reduce((next, { path }) => hangAgainIn(next, path, check.startedAt, at).tree, tree),
            )
          }
        }
        await endCheck(db, id, { state: 'given up', endedAt: at, result: null })
      }),
  }
}

/** Probes that can be checked, with what checks said of them. */
export async function listProbes(db: Database, checks: readonly CheckRow[], at: number): Promise<ListedProbe[]> {
  const inCheck = new Map(
    checks.filter(({ state }) => state === 'running').flatMap(({ id, probes }) => probes.map((path) => [path, id])),
  )
  const done = checks.filter(({ state }) => state === 'done')
  return (await findCheckableProbes(db, at)).map(({ id: _, ...probe }): ListedProbe => {
    const last = done.find((check) => check.probes.includes(probe.path))
    const act = (last?.result as FinishedCheck | undefined)?.probes.find(({ path }) => path === probe.path)?.act
    return {
      ...probe,
      name: probeName(probe),
      inCheck: inCheck.get(probe.path) ?? null,
      rejectedAt: act === 'reject' ? last!.endedAt : null,
      checkedAt: act === undefined ? null : last!.endedAt,
    }
  })
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

function byHouse<T extends { house: string | null }>(probes: readonly T[]): Map<string, T[]> {
  const houses = new Map<string, T[]>()
  for (const probe of probes) {
    if (probe.house !== null) houses.set(probe.house, [...(houses.get(probe.house) ?? []), probe])
  }
  return houses
}

function probeIn(tree: HouseTree, path: string): ProbeTree | undefined {
  const [logger, probe] = path.split('/')
  return tree.loggers?.find(({ key }) => key === logger)?.probes.find(({ key }) => key === probe)
}

/** What hung at that moment ends there; what was hung within the same minute never was. */
function takeDown(tree: HouseTree, probes: readonly CheckableProbe[], at: number): HouseTree {
  const instant = (text: string) => instantOfLocalText(text, tree.timeZone)
  for (const { path } of probes) {
    const probe = probeIn(tree, path)
    if (!probe) continue
    probe.placements = probe.placements.flatMap((placement) => {
      const { from, to } = placement
      if (to !== undefined && instant(to) <= at) return [placement]
      if (instant(from) > at) return [placement]
      return instant(from) === at ? [] : [{ ...placement, to: localTimeText(at, tree.timeZone) }]
    })
  }
  return tree
}

/** The placement that the check ended goes on from now, unless its spot is gone. */
function hangAgainIn(
  tree: HouseTree,
  path: string,
  startedAt: number,
  at: number,
): { tree: HouseTree; spot: string | null } {
  const probe = probeIn(tree, path)
  const [ended, from] = [localTimeText(startedAt, tree.timeZone), localTimeText(at, tree.timeZone)]
  const placement = probe?.placements.find(({ to }) => to === ended)
  const spots = new Set(tree.spaces.flatMap((space) => space.spots.map(({ key }) => `${space.key}/${key}`)))
  if (!probe || !placement || !spots.has(placement.spot)) return { tree, spot: null }
  if (from === ended) delete placement.to
  else probe.placements.push({ spot: placement.spot, from })
  return { tree, spot: placement.spot }
}

function endedProbe(probe: CheckedProbe, known: readonly CheckableProbe[], asked: FinishAsked): EndedProbe {
  const { house } = known.find(({ path }) => path === probe.path)!
  const byVerdict = { fine: 'store', correct: 'store', reject: 'reject' } as const
  const act =
    asked.acts.find((one) => one.probe === probe.path)?.act ??
    (probe.verdict === null ? 'keep' : byVerdict[probe.verdict])
  if (act === 'store' && (probe.verdict === null || probe.verdict === 'reject')) {
    const why = probe.verdict === null ? 'has not settled' : 'cannot be put right by a correction'
    throw new CheckRefused('not now', `${probe.name} ${why}.`, 'Keep it as it is, reject it, or check it again.')
  }
  // A probe that was found right says so by a correction of nothing: from then on it counts as checked.
  const found: ProbeCorrection[] = probe.corrections.some(({ quantity }) => quantity === 'rhPct')
    ? probe.corrections
    : [...probe.corrections, { quantity: 'rhPct', offset: 0 }]
  return { ...probe, act, house, stored: act === 'store' ? found : [], hungAgain: null }
}

function endWords({ path, act, stored }: EndedProbe): string {
  if (act === 'reject') return `${path} rejected`
  if (act === 'keep') return `${path} kept as it is`
  const added = stored.filter(({ offset }) => offset !== 0)
  const words = added.map(({ quantity, offset }) => `${offset} ${quantity === 'rhPct' ? '% RH' : 'K'}`)
  return words.length === 0 ? `${path} found right` : `${path} corrected by ${words.join(' and ')}`
}

function whyOf(check: CheckRow, probe: EndedProbe, at: number): string {
  const day = localDateText(at, 'UTC')
  const over = check.kind === 'salt' ? `over ${check.salt}` : `side by side with ${check.probes.length - 1} others`
  const found = probe.stored.every(({ offset }) => offset === 0) ? ', found right' : ''
  return `Check ${check.id} ${over}, ${day}${found}`
}

/** The house with what became of one probe; notes in `probe` where it hangs again. */
function withEnd(
  tree: HouseTree,
  probe: EndedProbe,
  { check, asked, at, hanging }: { check: CheckRow; asked: FinishAsked; at: number; hanging: ReadonlySet<string> },
): HouseTree {
  const ended = localTimeText(check.startedAt, tree.timeZone)
  const before = probeIn(tree, probe.path)?.placements.find(({ to }) => to === ended)
  const from = asked.since === 'placed' && before ? before.from : ended
  const why = whyOf(check, probe, at)
  const corrections = [
    ...(tree.corrections ?? []),
    ...probe.stored.map((one) => ({ probe: probe.path, ...one, from, why })),
  ]
  const next: HouseTree = corrections.length > 0 ? { ...tree, corrections } : tree
  if (!asked.hangAgain || probe.act === 'reject' || hanging.has(probe.path)) return next
  const again = hangAgainIn(next, probe.path, check.startedAt, at)
  probe.hungAgain = again.spot
  return again.tree
}
