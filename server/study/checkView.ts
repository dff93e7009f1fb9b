/** How a check stands now: what each probe reads, whether it has settled, and what follows from it. */
import type { Thresholds } from '../advice/defaults.ts'
import { dewPointFromRhC } from '../physics/air.ts'
import { saltRhPct } from '../physics/salts.ts'
import { correctedReadings } from '../series/corrections.ts'
import { HOUR_MS } from '../series/hourly.ts'
import type { ReadingColumns } from '../series/quantities.ts'
import { type CheckSalt, judgeSalts, type SaltPoint, saltReading } from '../series/saltCheck.ts'
import { SIDE_BY_SIDE_ADVISED_HOURS, SIDE_BY_SIDE_MIN_HOURS, sideBySideOffsets } from '../series/sideBySide.ts'
import { findCorrections } from '../store/corrections.ts'
import { recomputeHours } from '../store/hourly.ts'
import type { Database } from '../store/open.ts'
import { readColumns } from '../store/readings.ts'
import { type CheckableProbe, type CheckRow, findChecksOfProbe } from '../store/sensorChecks.ts'

/** An offset with its 90 or 95 % interval; probe minus what it should read. */
export interface Offset {
  low: number
  mid: number
  high: number
}

export interface ProbeCorrection {
  quantity: 'tempC' | 'rhPct'
  offset: number
}

export interface CheckedProbe {
  path: string
  name: string
  hasRadio: boolean
  last: { at: number; tempC: number; rhPct: number; dewPointC: number } | null
  /** RH since the box was closed, thinned for a small drawing. */
  trace: { at: number[]; rhPct: number[] }
  verdict: 'fine' | 'correct' | 'reject' | null
  reason: string
  rhPct: Offset | null
  tempK: Offset | null
  vaporPa: Offset | null
  /** What the salt gives at the probe's temperature. */
  expectedRhPct: number | null
  /** Of two salts: change of what it reads for one percent of true RH. */
  slope: number | null
  corrections: ProbeCorrection[]
  /** What the salt check of it found, for the next salt to be read together with. */
  point: SaltPoint | null
}

export interface CheckStanding {
  ready: boolean
  /** Before it can be finished; null when nobody can say. */
  hoursToGo: number | null
  /** The same until it is as good as it gets. */
  hoursToAdvised: number | null
  sentence: string
  probes: CheckedProbe[]
}

const MOST_TRACE = 120
/** Clock corrections can move readings in and out of the span. */
const REACH_MS = 24 * HOUR_MS

export const probeName = ({ path, loggerName }: Pick<CheckableProbe, 'path' | 'loggerName'>): string => {
  const [logger, probe] = path.split('/')
  return `${loggerName ?? logger}, ${probe}`
}

export async function checkStanding(
  db: Database,
  check: Pick<CheckRow, 'kind' | 'salt' | 'startedAt' | 'probes'>,
  known: readonly CheckableProbe[],
  { now, limits }: { now: number; limits: Thresholds },
): Promise<CheckStanding> {
  const probes = check.probes.flatMap((path) => known.find((probe) => probe.path === path) ?? [])
  const plain = await Promise.all(probes.map((probe) => plainProbe(db, probe, check, now)))
  return check.kind === 'salt'
    ? saltStanding(db, check, plain, { now, limits })
    : sideBySideStanding(db, check, probes, plain, { now, limits })
}

type Read = { probe: CheckedProbe; readings: ReadingColumns }

async function plainProbe(
  db: Database,
  probe: CheckableProbe,
  { startedAt, salt }: Pick<CheckRow, 'startedAt' | 'salt'>,
  now: number,
): Promise<Read> {
  const raw = await readColumns(db, probe.id, startedAt - REACH_MS, now + REACH_MS)
  const readings = correctedReadings(raw, await findCorrections(db, probe.id))
  const rows = [...readings.at.keys()].filter(
    (i) => readings.at[i]! >= startedAt && readings.at[i]! <= now && isBoth(readings, i),
  )
  const newest = rows[rows.length - 1]
  const every = Math.ceil(rows.length / MOST_TRACE) || 1
  const drawn = rows.filter((_, k) => k % every === 0 || k === rows.length - 1)
  const last =
    newest === undefined
      ? null
      : { at: readings.at[newest]!, tempC: readings.tempC![newest]!, rhPct: readings.rhPct![newest]! }
  return {
    readings,
    probe: {
      path: probe.path,
      name: probeName(probe),
      hasRadio: probe.hasRadio,
      last: last && { ...last, dewPointC: dewPointFromRhC(last.tempC, Math.max(1, last.rhPct)) },
      trace: { at: drawn.map((i) => readings.at[i]!), rhPct: drawn.map((i) => readings.rhPct![i]!) },
      verdict: null,
      reason: '',
      rhPct: null,
      tempK: null,
      vaporPa: null,
      expectedRhPct: salt !== null && last !== null ? saltAt(salt as CheckSalt, last.tempC) : null,
      slope: null,
      corrections: [],
      point: null,
    },
  }
}

const isBoth = ({ tempC, rhPct }: ReadingColumns, i: number) =>
  !Number.isNaN((tempC?.[i] ?? Number.NaN) + (rhPct?.[i] ?? Number.NaN))

const saltAt = (salt: CheckSalt, tempC: number) => (tempC >= 0 && tempC <= 50 ? saltRhPct(salt, tempC) : null)

const offset = (mid: number, margin: number): Offset => ({ low: mid - margin, mid, high: mid + margin })

async function saltStanding(
  db: Database,
  check: Pick<CheckRow, 'salt' | 'startedAt'>,
  plain: readonly Read[],
  { now, limits }: { now: number; limits: Thresholds },
): Promise<CheckStanding> {
  const salt = check.salt as CheckSalt
  const waits: number[] = []
  const probes: CheckedProbe[] = []
  for (const { probe, readings } of plain) {
    const found = saltReading(readings, salt, { from: check.startedAt, to: now }, limits)
    if (!found.settled) {
      waits.push(found.hoursToGo)
      probes.push({ ...probe, reason: found.reason })
      continue
    }
    const { point } = found
    const earlier = await earlierPoint(db, probe.path, point, limits)
    const judged = judgeSalts(earlier ? [earlier, point] : [point], limits)
    probes.push({
      ...probe,
      verdict: judged.verdict,
      reason: judged.reason,
      rhPct: offset(judged.offsetPct, judged.marginPct),
      expectedRhPct: point.expectedPct,
      slope: judged.slope,
      corrections: judged.correctionPct === null ? [] : [{ quantity: 'rhPct', offset: judged.correctionPct }],
      point,
    })
  }
  const ready = waits.length < plain.length
  const hoursToGo = waits.length === 0 ? 0 : Math.max(...waits)
  const sentence =
    waits.length === 0
      ? 'Every probe has settled.'
      : ready
        ? `${plain.length - waits.length} of ${plain.length} probes have settled.`
        : 'The box is still settling.'
  return { ready, hoursToGo, hoursToAdvised: hoursToGo, sentence, probes }
}

/** What an earlier check over another salt found, with what was stored of it taken off. */
async function earlierPoint(
  db: Database,
  path: string,
  point: SaltPoint,
  { saltPairDays }: Thresholds,
): Promise<SaltPoint | undefined> {
  for (const { kind, salt, result, endedAt } of await findChecksOfProbe(db, path)) {
    if (kind !== 'salt' || salt === point.salt || point.to - endedAt! > saltPairDays * 24 * HOUR_MS) continue
    const probe = (result as { probes: (CheckedProbe & { stored?: ProbeCorrection[] })[] }).probes.find(
      (one) => one.path === path,
    )
    if (!probe?.point) continue
    const added = (probe.stored ?? []).reduce((sum, one) => sum + (one.quantity === 'rhPct' ? one.offset : 0), 0)
    return {
      ...probe.point,
      readPct: probe.point.readPct + added,
      offsetPct: probe.point.offsetPct + added,
    }
  }
  return undefined
}

async function sideBySideStanding(
  db: Database,
  check: Pick<CheckRow, 'startedAt'>,
  known: readonly CheckableProbe[],
  plain: readonly Read[],
  { now, limits }: { now: number; limits: Thresholds },
): Promise<CheckStanding> {
  const span = { from: check.startedAt, to: now }
  const asked = await Promise.all(
    known.map(async ({ id, path }) => ({ key: path, hours: await recomputeHours(db, id, span.from, span.to) })),
  )
  const answer = sideBySideOffsets(asked, span, limits)
  const passed = (now - check.startedAt) / HOUR_MS
  const hoursToAdvised = Math.max(0, SIDE_BY_SIDE_ADVISED_HOURS - passed)
  if (answer.verdict === 'cannot tell') {
    const left = SIDE_BY_SIDE_MIN_HOURS - answer.hours
    return {
      ready: false,
      hoursToGo: left > 0 ? left : null,
      hoursToAdvised,
      sentence: `${answer.reason} Needed: ${answer.needs}.`,
      probes: plain.map(({ probe }) => probe),
    }
  }
  const probes = plain.map(({ probe }, p): CheckedProbe => {
    const found = answer.offsets[p]!
    return {
      ...probe,
      verdict: found.verdict,
      reason: found.reason,
      rhPct: offset(found.rhOffsetPct, found.rhMarginPct),
      tempK: offset(found.tempOffsetK, found.tempMarginK),
      vaporPa: offset(found.vaporOffsetPa, found.vaporMarginPa),
      corrections: answer.corrections
        .filter(({ key }) => key === found.key)
        .map(({ quantity, offset: added }) => ({ quantity, offset: added })),
    }
  })
  return { ready: true, hoursToGo: 0, hoursToAdvised, sentence: answer.reason, probes }
}
