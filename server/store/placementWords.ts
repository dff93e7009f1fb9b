/** What changed about where probes hang, in words for the history. Pure. */
import { isDeepStrictEqual } from 'node:util'
import type { ProbeTree } from './houseTree.ts'

type Placement = ProbeTree['placements'][number]

/** One piece a change, such as "air at crawl/low from 2026-05-18 14:30"; empty when only other things of the probes changed. */
export function placementWords(before: readonly ProbeTree[], after: readonly ProbeTree[]): string[] {
  const keys = new Set([...before, ...after].map(({ key }) => key))
  return [...keys].flatMap((key) => {
    const of = (probes: readonly ProbeTree[]) => probes.find((probe) => probe.key === key)?.placements ?? []
    const [old, now] = [of(before), of(after)]
    const same = (one: Placement) => (other: Placement) => other.spot === one.spot && other.from === one.from
    const here = now.flatMap((placement) => {
      const was = old.find(same(placement))
      if (was === undefined) return [`${key} at ${spanWords(placement)}`]
      if (isDeepStrictEqual(was, placement)) return []
      return [`${key} at ${placement.spot} ${placement.to === undefined ? 'goes on' : `until ${words(placement.to)}`}`]
    })
    const gone = old.filter((placement) => !now.some(same(placement)))
    return [...here, ...gone.map((placement) => `${key} no longer at ${spanWords(placement)}`)]
  })
}

const spanWords = ({ spot, from, to }: Placement): string =>
  `${spot} from ${words(from)}${to === undefined ? '' : ` to ${words(to)}`}`

const words = (localText: string): string => localText.replace('T', ' ')
