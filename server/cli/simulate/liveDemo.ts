/** One invented logger under a second invented house, so that the demo shows readings arriving. */

import { localTimeText } from '../../series/localTime.ts'
import type { HouseTree } from '../../store/houseTree.ts'
import { enrollInvented, type Service } from './enrollInvented.ts'
import { simulateLoggers } from './simulateLoggers.ts'

const TIME_ZONE = 'America/New_York'
const SPOT = 'crawl/center'
const BEFORE_DAYS = 2
const BEFORE_EVERY_S = 600
const EVERY_S = 5

const LIVE_HOUSE: HouseTree = {
  format: 'underjoist house 1',
  key: 'demo-live',
  name: 'Live demo (one invented logger)',
  invented: true,
  place: 'Invented',
  timeZone: TIME_ZONE,
  spaces: [
    {
      key: 'crawl',
      name: 'Crawl space',
      role: 'crawl space',
      kind: 'vented',
      spots: [{ key: 'center', name: 'Center, under a joist', heightM: 0.6 }],
    },
  ],
}

/**
 * Enrolls it, hands in its last two days at once, and lets it report every few seconds until the signal.
 * @param service that has a broker of its own
 * @returns its key, when it was heard first; and what ends with it
 */
export async function startLiveDemo(
  service: Service,
  { now, signal, onProblem }: { now: number; signal: AbortSignal; onProblem(sentence: string): void },
): Promise<{ key: string; ended: Promise<unknown> }> {
  await service.ask('/api/houses', { house: LIVE_HOUSE })
  const since = now - BEFORE_DAYS * 86_400_000
  const crew = await enrollInvented(service, {
    count: 1,
    everyS: EVERY_S,
    house: LIVE_HOUSE.key,
    spots: [SPOT],
    at: localTimeText(since, TIME_ZONE).slice(0, 16),
  })
  const how = { signal, onProblem }
  const past = { kind: 'past', days: BEFORE_DAYS, everyS: BEFORE_EVERY_S, speed: 1e6, now } as const
  await simulateLoggers({ ...crew, run: 'past', faults: new Set() }, past, how)
  const ended = simulateLoggers(
    { ...crew, run: 'live', faults: new Set() },
    { kind: 'real time', everyS: EVERY_S },
    how,
  )
  return { key: crew.loggers[0]!.key, ended }
}
