/** Size of the space: as recorded, else usual values with wider priors and a sentence that says so. */
import type { Geometry } from './input.ts'

export interface Dimensions {
  floorAreaM2: number
  heightM: number
  perimeterM: number
  volumeM3: number
  /** Extra log spread of everything that scales with size when the size itself is assumed. */
  sizeSpread: number
  notes: string[]
}

/** Usual crawl space where nothing was measured (judgement): 130 m2, 1 m high. */
const USUAL_AREA_M2 = 130
const USUAL_HEIGHT_M = 1

export function dimensionsOf(geometry: Geometry): Dimensions {
  const notes: string[] = []
  const { floorAreaM2, heightM, volumeM3 } = geometry
  const fromVolume = volumeM3 !== null && heightM !== null ? volumeM3 / heightM : null
  const area = floorAreaM2 ?? fromVolume ?? USUAL_AREA_M2
  const height = heightM ?? (volumeM3 !== null ? volumeM3 / area : USUAL_HEIGHT_M)
  const areaKnown = floorAreaM2 !== null || fromVolume !== null
  if (!areaKnown) notes.push(`Floor area not recorded: ${USUAL_AREA_M2} m² assumed, liters are uncertain by half.`)
  if (heightM === null && volumeM3 === null) notes.push(`Height not recorded: ${USUAL_HEIGHT_M} m assumed.`)
  const sizeSpread = Math.hypot(areaKnown ? 0 : 0.45, heightM === null && volumeM3 === null ? 0.3 : 0)
  const perimeterM = geometry.perimeterM ?? 4.2 * Math.sqrt(area)
  return { floorAreaM2: area, heightM: height, perimeterM, volumeM3: volumeM3 ?? area * height, sizeSpread, notes }
}
