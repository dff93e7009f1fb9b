/** Ending and beginning placements in house trees, by the minute. Pure but for the trees it changes. */
import { instantOfLocalText, localTimeText, localTimeTextFrom } from '../series/localTime.ts'
import type { HouseTree, LoggerTree, ProbeTree } from './houseTree.ts'
import { LoggerRefused } from './loggerRefused.ts'

const MINUTE_MS = 60_000

export const minuteOf = (at: number): number => Math.floor(at / MINUTE_MS) * MINUTE_MS

/** When something is moved. */
export interface Moment {
  /** Whole minute, UTC epoch ms. */
  at: number
  now: number
  /** Somebody named the time; else it is now. */
  named: boolean
}

/**
 * @param text wall clock of a house; now when left out. In the hour that autumn repeats it means the first turn.
 * @throws LoggerRefused when there is no such time, or it has not come yet
 */
export function momentOf(text: string | undefined, timeZone: string, now: number): Moment {
  if (text === undefined) return { at: minuteOf(now), now, named: false }
  let at: number
  try {
    at = instantOfLocalText(text, timeZone)
  } catch (error) {
    throw new LoggerRefused('bad placement', (error as Error).message, 'at')
  }
  if (at > now) {
    const why = `${words(text)} lies in the future. Enter it once it is done; it is ${words(localTimeText(now, timeZone))} there.`
    throw new LoggerRefused('bad placement', why, 'at')
  }
  return { at: minuteOf(at), now, named: true }
}

const words = (localText: string): string => localText.replace('T', ' ')

export const hasSpot = (tree: HouseTree, path: string): boolean =>
  tree.spaces.some((space) => space.spots.some((spot) => `${space.key}/${spot.key}` === path))

export const spotName = (tree: HouseTree, path: string): string =>
  tree.spaces
    .flatMap((space) => space.spots.map((spot) => ({ path: `${space.key}/${spot.key}`, name: spot.name })))
    .find((spot) => spot.path === path)?.name ?? path

/** Placements of a probe that have not ended at that moment. */
export const hangsAt = (tree: HouseTree, probe: ProbeTree, { at, now }: Moment): ProbeTree['placements'] =>
  probe.placements.filter(({ to }) => to === undefined || instantOfLocalText(to, tree.timeZone) > Math.max(at, now))

/** To be hung there now changes nothing where it hangs already. */
export const isThereSince = (
  tree: HouseTree,
  { from }: ProbeTree['placements'][number],
  { at, named }: Moment,
): boolean => !named || minuteOf(instantOfLocalText(from, tree.timeZone)) <= at

/**
 * What hangs at that moment ends there. Placed and taken away within one minute, it never hung; so too what was to hang
 * later, when it is taken away now.
 * @returns spots it was taken from
 * @throws LoggerRefused when the time named lies before it was hung there, or before it was last taken away
 */
export function endPlacements(tree: HouseTree, logger: string, probe: ProbeTree, moment: Moment): string[] {
  const instant = (text: string) => instantOfLocalText(text, tree.timeZone)
  const refuse = (spot: string, how: string) => {
    const name = `Logger "${logger}" (${probe.key})`
    const own = words(localTimeText(moment.at, tree.timeZone))
    return new LoggerRefused(
      'bad placement',
      `${name} ${how.replace('@', `at ${spotName(tree, spot)} in ${tree.name}`)}; ${own} is before that. Choose a later time, or correct the house's facts.`,
      'at',
    )
  }
  const left: string[] = []
  probe.placements = probe.placements.flatMap((placement) => {
    const { spot, from, to } = placement
    if (to !== undefined && minuteOf(instant(to)) <= moment.at) return [placement]
    if (to !== undefined && instant(to) <= moment.now) throw refuse(spot, `hung @ until ${words(to)}`)
    if (moment.named && minuteOf(instant(from)) > moment.at) throw refuse(spot, `hangs @ since ${words(from)}`)
    left.push(spot)
    // The second turn of an hour that autumn repeats cannot be named: the end is the same minute of the first turn.
    const end = localTimeText(moment.at, tree.timeZone)
    return instant(end) <= instant(from) || minuteOf(instant(from)) >= moment.at ? [] : [{ ...placement, to: end }]
  })
  return left
}

/** @param kept the logger as it is known, for a house that it is new to */
export function beginPlacement(
  tree: HouseTree,
  { kept, probe, spot }: { kept: LoggerTree; probe: string; spot: string },
  { at }: Moment,
): void {
  let own = tree.loggers?.find(({ key }) => key === kept.key)
  if (own === undefined) {
    own = structuredClone(kept)
    tree.loggers = [...(tree.loggers ?? []), own]
  }
  let ownProbe = own.probes.find(({ key }) => key === probe)
  if (ownProbe === undefined) {
    ownProbe = structuredClone(kept.probes.find(({ key }) => key === probe)!)
    own.probes.push(ownProbe)
  }
  ownProbe.placements.push({ spot, from: localTimeTextFrom(at, tree.timeZone) })
}
