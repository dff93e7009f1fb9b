/** Sizing for a house without readings: geometry and two design airs in, load and ratings out, with what holds sealing back. */
import { type Hold, holdsOn, NOTHING_LOOKED_AT, type SafetyFacts } from '../advice/holds.ts'
import { thresholds } from '../advice/thresholds.ts'
import { humidityRatio, vaporPressurePa } from '../physics/air.ts'
import type { RatingBasis } from '../physics/dehumidifier.ts'
import { ICING_BELOW_C, type LoadInput, plainLoad, sealingFirst, sizeDehumidifier } from '../sizing/dehumidifier.ts'

export interface PlainSizingAsked {
  floorAreaM2: number
  heightM: number
  changesPerHour: number
  sealedChangesPerHour: number
  outdoorTempC: number
  outdoorRhPct: number
  heldTempC: number
  heldRhPct: number
  coverShare: number
  bareGroundLPerM2Day: number
  litersPerKwh: number
  pricePerKwh: number
  safety: Pick<SafetyFacts, 'floodZone' | 'combustionAppliances' | 'radonTest'>
}

export interface PlainSizing {
  byPath: { outdoorAir: number; ground: number }
  loadLPerDay: number
  ratedLPerDay: Record<RatingBasis, number> | null
  codeFloorLPerDay: number
  codeGoverns: boolean
  /** Of a unit that is just large enough, on such a day. */
  runningHoursPerDay: number
  kwhPerDay: number
  costPerMonth: number
  extrapolated: boolean
  sealingSavesLPerDay: number
  cautions: string[]
  confirm: string
  holdsOnSealing: Hold[]
}

const SEA_LEVEL_PA = 101_325
const DAYS_PER_MONTH = 30
const HOURS_PER_DAY = 24
/** A load too small to size for. */
const LEAST_LOAD_L = 0.1

/** @throws RangeError outside the valid ranges of sizing/dehumidifier */
export function plainSizing(asked: PlainSizingAsked): PlainSizing {
  const ratio = (tempC: number, rhPct: number) => humidityRatio(vaporPressurePa(tempC, rhPct), SEA_LEVEL_PA)
  const input: LoadInput = {
    volumeM3: asked.floorAreaM2 * asked.heightM,
    changesPerH: asked.changesPerHour,
    outdoorHumidityRatio: ratio(asked.outdoorTempC, asked.outdoorRhPct),
    heldHumidityRatio: ratio(asked.heldTempC, asked.heldRhPct),
    groundLPerDay: asked.floorAreaM2 * (1 - asked.coverShare) * asked.bareGroundLPerM2Day,
  }
  const { byPath, totalLPerDay } = plainLoad(input)
  const air = { tempC: asked.heldTempC, rhPct: asked.heldRhPct }
  const sized = sizeDehumidifier(Math.max(totalLPerDay, LEAST_LOAD_L), air, asked.floorAreaM2, asked.litersPerKwh)
  const small = totalLPerDay < LEAST_LOAD_L
  const cautions: string[] = []
  if (small) cautions.push('Outdoor air is drier than the air to be held: on such a day there is nothing to take out.')
  if (asked.heldTempC < ICING_BELOW_C) {
    cautions.push(
      'Below 65 °F coils ice and capacity falls: read the ratings as a range, and look for a unit made for cold spaces.',
    )
  }
  if (sized.extrapolated) cautions.push('The air to be held lies outside what the capacity curve was measured in.')
  const safety = { ...NOTHING_LOOKED_AT, ...asked.safety }
  return {
    byPath: { outdoorAir: byPath.outdoorAir, ground: byPath.ground },
    loadLPerDay: totalLPerDay,
    ratedLPerDay: small ? null : sized.ratedLPerDay,
    codeFloorLPerDay: sized.codeFloorLPerDay,
    codeGoverns: sized.codeGoverns,
    runningHoursPerDay: small ? 0 : HOURS_PER_DAY / sized.inputs.margin,
    kwhPerDay: small ? 0 : sized.kwhPerDay,
    costPerMonth: small ? 0 : sized.kwhPerDay * DAYS_PER_MONTH * asked.pricePerKwh,
    extrapolated: sized.extrapolated,
    sealingSavesLPerDay: sealingFirst(input, asked.sealedChangesPerHour).savesLPerDay,
    cautions,
    confirm: sized.confirm,
    holdsOnSealing: holdsOn('close the space', safety, thresholds()),
  }
}
