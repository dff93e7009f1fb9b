/**
 * What loggers told of their clocks becomes dated corrections of their probes. With the same facts nothing changes; a new
 * day changes something only once the corrections at hand leave too much.
 */
import type { Thresholds } from '../advice/defaults.ts'
import { thresholds } from '../advice/thresholds.ts'
import { type ClockDrift, clockCorrections, clockDrift, clockErrorLeftS } from '../series/clockDrift.ts'
import type { Correction } from '../series/corrections.ts'
import { instantOfLocalText, localTimeText } from '../series/localTime.ts'
import { changeHouse } from '../store/changeHouse.ts'
import { findClockLoggers, readClockDays } from '../store/clockChecks.ts'
import type { HouseTree } from '../store/houseTree.ts'
import type { Database } from '../store/open.ts'
import { readHouse } from '../store/readHouse.ts'
import { findCheckableProbes } from '../store/sensorChecks.ts'
import { readFirmSettings } from '../store/settings.ts'
import { HouseRefused } from '../store/storeHouse.ts'

const DAY_MS = 86_400_000
/** Begins the reason of a correction made here; those of people are left alone. */
const MEASURED = 'Clock drift measured'

type TreeCorrection = NonNullable<HouseTree['corrections']>[number]

export interface ClockCorrected {
  logger: string
  house: string
  /** What was done, or why nothing could be; for the log. */
  sentence: string
}

/**
 * Of all loggers in service that told their time.
 * @returns those whose corrections changed, and those that could not be corrected
 */
export async function correctClocks(
  db: Database,
  { now, who }: { now: number; who: string },
): Promise<ClockCorrected[]> {
  const limits = thresholds(await readFirmSettings(db))
  const probes = await findCheckableProbes(db, now)
  const told: ClockCorrected[] = []
  for (const logger of await findClockLoggers(db)) {
    const drift = clockDrift(await readClockDays(db, logger), limits)
    const own = probes.filter(({ path, house }) => house !== null && path.startsWith(`${logger}/`))
    for (const house of new Set(own.map((probe) => probe.house!))) {
      const paths = own.filter((probe) => probe.house === house).map(({ path }) => path)
      const sentence = await correctIn(db, { house, logger, paths, drift, limits, now, who })
      if (sentence !== null) told.push({ logger, house, sentence })
    }
  }
  return told
}

interface Asked {
  house: string
  logger: string
  paths: readonly string[]
  drift: ClockDrift
  limits: Thresholds
  now: number
  who: string
}

async function correctIn(db: Database, asked: Asked): Promise<string | null> {
  const { house, logger, paths, drift, limits, now, who } = asked
  const tree = await readHouse(db, house)
  if (!tree) return null
  const wrong = paths.filter((path) => {
    const own = clockRows(tree, path)
    if (own.some(({ why }) => !why.startsWith(MEASURED))) return false // a person has looked into it
    return clockErrorLeftS(drift, own.map(instantsIn(tree.timeZone))) > limits.clockWorthS
  })
  if (wrong.length === 0) return null
  const what = `clock of ${logger} corrected: ${driftWords(drift)}`
  try {
    await changeHouse(db, house, { now, who, what }, (present) => withMeasured(present, wrong, asked))
    return what
  } catch (error) {
    if (!(error instanceof HouseRefused)) throw error
    return `clock of ${logger} not corrected: ${error.message}`
  }
}

const clockRows = (tree: HouseTree, path: string): TreeCorrection[] =>
  (tree.corrections ?? []).filter(({ probe, quantity }) => probe === path && quantity === 'clock')

const instantsIn =
  (timeZone: string) =>
  ({ offset, from, to }: TreeCorrection): Correction => ({
    quantity: 'clock',
    offset,
    from: instantOfLocalText(from, timeZone),
    to: to === undefined ? null : instantOfLocalText(to, timeZone),
  })

/** The measured ones of these probes anew; what a clock that runs ahead calls tomorrow waits until it is today. */
function withMeasured(tree: HouseTree, paths: readonly string[], { drift, limits, now }: Asked): HouseTree {
  const local = (at: number) => localTimeText(at, tree.timeZone)
  const kept = (tree.corrections ?? []).filter(
    ({ probe, quantity, why }) => !(paths.includes(probe) && quantity === 'clock' && why.startsWith(MEASURED)),
  )
  const why = `${MEASURED}: ${driftWords(drift)}`
  const found = clockCorrections(drift, limits).filter(
    ({ from, to }) => from < now + DAY_MS && (to === null || local(from) < local(to)),
  )
  const made = paths.flatMap((probe) =>
    found.map(({ offset, from, to }): TreeCorrection => {
      const row = { probe, quantity: 'clock' as const, offset, from: local(from), why }
      return to === null ? row : { ...row, to: local(to) }
    }),
  )
  const { corrections: _, ...rest } = tree
  return kept.length + made.length === 0 ? rest : { ...tree, corrections: [...kept, ...made] }
}

function driftWords({ runs }: ClockDrift): string {
  const last = runs[runs.length - 1]!
  const perDay = last.driftSPerDay
  const pace =
    Math.abs(perDay) < 0.05
      ? 'it keeps time'
      : `it ${perDay > 0 ? 'gains' : 'loses'} ${Math.abs(perDay).toFixed(1)} s a day`
  const off = `${Math.abs(last.lastOffS).toFixed(0)} s ${last.lastOffS > 0 ? 'fast' : 'slow'} at last`
  const jumps = runs.length === 1 ? '' : `, set ${runs.length - 1} times between`
  return `${pace}, ${off}${jumps}`
}
