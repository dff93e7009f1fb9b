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
}

export const woodTrack = (): WoodTrack => ({ surfacePct: null, corePct: null, gapHours: 0, sincePinsHours: null })

const HOUR_STEP = joistStep(1)
/** Pins that read once a day still measure. */
const MEASURED_HOURS = 48

/** @returns moisture after the hour [%], NaN when it is not known; and whether pins stand behind it */
export function stepWood(
  track: WoodTrack,
  { tempC, rhPct, pinsPct }: { tempC: number; rhPct: number; pinsPct: number },
  longGapHours: number,
): { woodMcPct: number; measured: boolean } {
  if (track.sincePinsHours !== null) track.sincePinsHours++
  if (!Number.isNaN(pinsPct)) {
    track.surfacePct = track.corePct = pinsPct
    track.gapHours = track.sincePinsHours = 0
  } else if (tempC >= -30 && tempC <= 70 && rhPct >= 0 && rhPct <= 100) {
    const equilibrium = equilibriumMoisturePct(tempC, rhPct)
    const state = { surfacePct: track.surfacePct ?? equilibrium, corePct: track.corePct ?? equilibrium }
    const next = stepJoist(state, equilibrium, HOUR_STEP)
    track.surfacePct = next.surfacePct
    track.corePct = next.corePct
    track.gapHours = 0
  } else track.gapHours++
  const { surfacePct, corePct, gapHours, sincePinsHours } = track
  const measured = sincePinsHours !== null && sincePinsHours <= MEASURED_HOURS
  if (surfacePct === null || corePct === null || gapHours >= longGapHours) return { woodMcPct: Number.NaN, measured }
  return { woodMcPct: meanMoisturePct({ surfacePct, corePct }), measured }
}
