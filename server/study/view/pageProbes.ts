/** Loggers of a house and their health. */
import { instantOfLocalText } from '../../series/localTime.ts'
import { findLastBattery } from '../../store/hourBuckets.ts'
import type { HouseTree } from '../../store/houseTree.ts'
import type { Database } from '../../store/open.ts'
import { findSpans } from '../../store/readings.ts'
import type { Finding } from '../finding.ts'
import type { SensorFaultData } from '../findingData.ts'
import { type Units, wordedFinding } from '../wording.ts'

export interface PageProbe {
  logger: string
  loggerName: string
  probe: string
  probeId: number
  spot: string
  letter: string
  spotName: string
  placedFrom: string
  placedTo: string | null
  readings: number
  firstAt: number | null
  lastAt: number | null
  batteryV: number | null
  faults: string[]
}

interface ProbesAsked {
  tree: HouseTree
  probeIds: ReadonlyMap<string, number>
  letters: ReadonlyMap<string, string>
  findings: readonly Finding[]
  units: Units
}

export async function pageProbes(
  db: Database,
  { tree, probeIds, letters, findings, units }: ProbesAsked,
): Promise<PageProbe[]> {
  const spans = await findSpans(db, [...probeIds.values()])
  const probes: PageProbe[] = []
  for (const { key, name, probes: own } of tree.loggers ?? []) {
    for (const probe of own) {
      const probeId = probeIds.get(`${key}/${probe.key}`)
      const placement = latestPlacement(probe.placements, tree.timeZone)
      if (probeId === undefined || placement === undefined) continue
      const span = spans.find((one) => one.probeId === probeId)
      probes.push({
        logger: key,
        loggerName: name ?? key,
        probe: probe.key,
        probeId,
        spot: placement.spot,
        letter: letters.get(placement.spot) ?? '',
        spotName: spotName(tree, placement.spot),
        placedFrom: placement.from,
        placedTo: placement.to ?? null,
        readings: span?.count ?? 0,
        firstAt: span?.from ?? null,
        lastAt: span === undefined ? null : span.to - 1,
        batteryV: await findLastBattery(db, probeId),
        faults: faultsAt(findings, placement.spot, units),
      })
    }
  }
  return probes
}

type Placement = NonNullable<HouseTree['loggers']>[number]['probes'][number]['placements'][number]

const latestPlacement = (placements: readonly Placement[], timeZone: string): Placement | undefined =>
  [...placements].sort((a, b) => instantOfLocalText(b.from, timeZone) - instantOfLocalText(a.from, timeZone))[0]

export function spotName({ spaces }: Pick<HouseTree, 'spaces'>, path: string): string {
  const [spaceKey, spotKey] = path.split('/')
  return spaces.find(({ key }) => key === spaceKey)?.spots.find(({ key }) => key === spotKey)?.name ?? path
}

const faultsAt = (findings: readonly Finding[], path: string, units: Units): string[] =>
  findings
    .filter(({ question, subject, data }) => question === 'sensor checks' && subject.spot === path && isFault(data))
    .map((finding) => wordedFinding(finding, units).sentence)

const isFault = (data: unknown): data is SensorFaultData => typeof data === 'object' && data !== null && 'kind' in data
