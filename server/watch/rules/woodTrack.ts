/** Moisture of the framing at a spot, hour by hour: measured by pins, else a joist lagging behind its air. */
import { equilibriumMoisturePct } from '../../physics/wood.ts'
import { joistStep, meanMoisturePct, stepJoist } from '../../physics/woodLag.ts'

export interface WoodTrack {
  surfacePct: number | null
  corePct: number | null
  /** Hours since the air was known. */
  gapHours: number
  /** Hours since pins measured it; null: never. */
  sincePinsHours: number | null
  /** Hours of known air since its start was a guess; null: pins said it. */
  sinceGuessHours: number | null
}

export const woodTrack = (): WoodTrack => ({
  surfacePct: null,
  corePct: null,
  gapHours: 0,
  sincePinsHours: null,
  sinceGuessHours: 0,
})

const HOUR_STEP = joistStep(1)
/** Pins that read once a day still measure. */
const MEASURED_HOURS = 48

export interface WoodLimits {
  woodLongGapDays: number
  woodSettlingDays: number
}

/** @returns moisture after the hour [%], NaN when it is not known; whether pins stand behind it, and if it has settled */
export function stepWood(
  track: WoodTrack,
  { tempC, rhPct, pinsPct }: { tempC: number; rhPct: number; pinsPct: number },
  held: WoodLimits,
): { woodMcPct: number; measured: boolean; settled: boolean } {
  const longGapHours = held.woodLongGapDays * 24
  if (track.sincePinsHours !== null) track.sincePinsHours++
  if (!Number.isNaN(pinsPct)) {
    track.surfacePct = track.corePct = pinsPct
    track.gapHours = track.sincePinsHours = 0
    track.sinceGuessHours = null
  } else if (tempC >= -30 && tempC <= 70 && rhPct >= 0 && rhPct <= 100) {
    const equilibrium = equilibriumMoisturePct(tempC, rhPct)
    const state = { surfacePct: track.surfacePct ?? equilibrium, corePct: track.corePct ?? equilibrium }
    const next = stepJoist(state, equilibrium, HOUR_STEP)
    track.surfacePct = next.surfacePct
    track.corePct = next.corePct
    track.gapHours = 0
    if (track.sinceGuessHours !== null) track.sinceGuessHours++
  } else if (++track.gapHours >= longGapHours) track.sinceGuessHours = 0
  const { surfacePct, corePct, gapHours, sincePinsHours } = track
  const measured = sincePinsHours !== null && sincePinsHours <= MEASURED_HOURS
  // The air of the first hour is not what the wood has lived in.
  const settled = track.sinceGuessHours === null || track.sinceGuessHours >= held.woodSettlingDays * 24
  const unknown = surfacePct === null || corePct === null || gapHours >= longGapHours
  return { woodMcPct: unknown ? Number.NaN : meanMoisturePct({ surfacePct, corePct }), measured, settled }
}
