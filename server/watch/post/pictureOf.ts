/** What the picture of a notice's letter shows: its spot over the last four weeks, and the line that matters. */
import { UNUSABLE_BITS } from '../../series/marks.ts'
import type { Database } from '../../store/open.ts'
import { type SpotQuantity, spotHistory } from '../../store/spotHistory.ts'
import type { PictureData } from '../letters/told.ts'
import type { NoticeBody, Watch } from '../types.ts'

const HOUR_MS = 3_600_000
const SPAN_MS = 28 * 24 * HOUR_MS
const STEP_MS = 6 * HOUR_MS

/** Of relative humidity only where the line is one of it: alone it says nothing between seasons. */
const QUANTITY: Partial<Record<Watch, SpotQuantity>> = {
  'liquid water': 'wetPct',
  freezing: 'tempC',
  damp: 'rhPct',
  'wood wet': 'woodMcPct',
  'wood rising': 'woodMcPct',
}

/** A fault of the air sensor says nothing about water or pins; what the watch left out is not drawn either. */
const OF_AIR: ReadonlySet<SpotQuantity> = new Set(['rhPct', 'tempC'])

function thresholdOf(
  watch: Watch,
  { numbers: { lineRhPct, lineTempC, lineWoodMcPct } }: NoticeBody,
): PictureData['threshold'] {
  if (watch === 'damp' && lineRhPct !== undefined) return { value: lineRhPct, name: 'above this for a day: too damp' }
  if (watch === 'freezing' && lineTempC !== undefined) return { value: lineTempC, name: 'line for pipes' }
  if (lineWoodMcPct !== undefined) return { value: lineWoodMcPct, name: 'line that we watch' }
  return null
}

/** @returns null where there is nothing to draw, or no one quantity that says it */
export async function pictureOf(
  db: Database,
  houseId: number,
  watch: Watch,
  body: NoticeBody,
  at: number,
): Promise<PictureData | null> {
  const { spot, spotName } = body.place
  const quantity = QUANTITY[watch]
  if (quantity === undefined || spot === null) return null
  return pictureOfSpot(db, { houseId, spot, name: spotName ?? spot, quantity, threshold: thresholdOf(watch, body), at })
}

/** The four weeks before an instant. */
export async function pictureOfSpot(
  db: Database,
  {
    houseId,
    spot,
    name,
    quantity,
    threshold,
    at,
  }: { houseId: number; spot: string; quantity: SpotQuantity; at: number } & Pick<PictureData, 'name' | 'threshold'>,
): Promise<PictureData | null> {
  const to = Math.ceil(at / STEP_MS) * STEP_MS
  const from = to - SPAN_MS
  const span = { from, to, stepMs: STEP_MS, leftOutBits: OF_AIR.has(quantity) ? UNUSABLE_BITS : 0 }
  const history = await spotHistory(db, { houseId, spot, quantity, ...span })
  const known = new Map(history.map((step) => [step.at, step.value]))
  if (known.size < 2) return null
  const steps = Array.from({ length: SPAN_MS / STEP_MS }, (_, i) => from + i * STEP_MS)
  return { quantity, name, at: steps, value: steps.map((step) => known.get(step) ?? Number.NaN), threshold }
}
