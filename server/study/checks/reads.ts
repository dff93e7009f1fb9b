/** What a probe in a box has read so far, before anything is judged. */
import { dewPointFromRhC } from '../../physics/air.ts'
import { saltRhPct } from '../../physics/salts.ts'
import { correctedReadings } from '../../series/corrections.ts'
import { HOUR_MS } from '../../series/hourly.ts'
import type { ReadingColumns } from '../../series/quantities.ts'
import type { CheckSalt } from '../../series/saltCheck.ts'
import { findCorrections } from '../../store/corrections.ts'
import type { Database } from '../../store/open.ts'
import { readColumns } from '../../store/readings.ts'
import type { CheckableProbe, CheckRow } from '../../store/sensorChecks.ts'
import { type CheckedProbe, type Offset, probeName } from './types.ts'

const MOST_TRACE = 120
/** Clock corrections can move readings in and out of the span. */
const REACH_MS = 24 * HOUR_MS

export interface Read {
  probe: CheckedProbe
  readings: ReadingColumns
}

export async function plainProbe(
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

export const offset = (mid: number, margin: number): Offset => ({ low: mid - margin, mid, high: mid + margin })
