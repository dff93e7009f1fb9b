import type { AirflowSpec, LivingSpaceSpec } from './spec.ts'

/** Air that enters the space [m3/s], by where it comes from. As much leaves. */
export interface AirEntering {
  outdoorM3S: number
  houseM3S: number
}

const DISCHARGE = 0.6 // sharp-edged opening, common practice
const WIND_PRESSURE_DIFFERENCE = 0.35 // between opposite low walls in a built-up yard, common practice
const STACK_HEIGHT_M = 0.45 // half between low and high openings

/**
 * Wind and stack through openings, combined as a root of squares (common practice), with half of the area letting air
 * in and half letting it out; plus the air that replaces what the warm house draws up, plus what comes down by ducts.
 */
export function airEntering(
  airflow: AirflowSpec,
  living: LivingSpaceSpec,
  windMS: number,
  spaceC: number,
  outdoorC: number,
  houseC: number,
  cooling: number,
): AirEntering {
  const areaM2 = (airflow.ventCount * airflow.ventFreeAreaM2 * airflow.ventOpenShare + airflow.leakAreaM2) / 2
  const wind = windMS * airflow.windShelter * Math.sqrt(WIND_PRESSURE_DIFFERENCE / 2)
  const stack = Math.sqrt((9.81 * STACK_HEIGHT_M * Math.abs(spaceC - outdoorC)) / (outdoorC + 273.15))
  const upM3S = (living.upFlowM3HPerRootK / 3600) * Math.sqrt(Math.max(0, houseC - outdoorC))
  const downM3H = living.downFlowM3H + cooling * (living.downFlowCoolingM3H - living.downFlowM3H)
  return {
    outdoorM3S: DISCHARGE * areaM2 * Math.hypot(wind, stack) + 0.6 * upM3S,
    houseM3S: Math.max(0, downM3H) / 3600,
  }
}
