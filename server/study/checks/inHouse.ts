/** What a check changes in the house of a probe: it is taken down, corrected, and hung again. */
import { localTimeText, localTimeTextFrom } from '../../series/localTime.ts'
import type { HouseTree, ProbeTree } from '../../store/houseTree.ts'
import { endPlacements, minuteOf } from '../../store/placementMoves.ts'
import type { CheckableProbe, CheckRow } from '../../store/sensorChecks.ts'
import { whyOf } from './ended.ts'
import type { EndedProbe, FinishAsked } from './types.ts'

export function byHouse<T extends { house: string | null }>(probes: readonly T[]): Map<string, T[]> {
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
export function takeDown(tree: HouseTree, probes: readonly CheckableProbe[], at: number): HouseTree {
  for (const { path } of probes) {
    const probe = probeIn(tree, path)
    if (probe) endPlacements(tree, path.split('/')[0]!, probe, { at, now: at, named: false })
  }
  return tree
}

/** The placement that the check ended goes on from now, unless its spot is gone. */
export function hangAgainIn(
  tree: HouseTree,
  path: string,
  startedAt: number,
  at: number,
): { tree: HouseTree; spot: string | null } {
  const probe = probeIn(tree, path)
  const [ended, from] = [localTimeText(startedAt, tree.timeZone), localTimeTextFrom(minuteOf(at), tree.timeZone)]
  const placement = probe?.placements.find(({ to }) => to === ended)
  const spots = new Set(tree.spaces.flatMap((space) => space.spots.map(({ key }) => `${space.key}/${key}`)))
  if (!probe || !placement || !spots.has(placement.spot)) return { tree, spot: null }
  if (from === ended) delete placement.to
  else probe.placements.push({ spot: placement.spot, from })
  return { tree, spot: placement.spot }
}

/** The house with what became of one probe; notes in `probe` where it hangs again. */
export function withEnd(
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
