import { expect, test } from 'vitest'
import * as air from '../../server/physics/air.ts'
import * as decay from '../../server/physics/decay.ts'
import * as dehumidifier from '../../server/physics/dehumidifier.ts'
import * as mold from '../../server/physics/mold.ts'
import { meetsThirtyDayCriterion, mrdDailyDose } from '../../server/physics/moldCriteria.ts'
import { SALTS, type Salt, saltRhPct } from '../../server/physics/salts.ts'
import * as surface from '../../server/physics/surface.ts'
import * as units from '../../server/physics/units.ts'
import * as water from '../../server/physics/water.ts'
import { humidityRatioFromWetBulb, wetBulbC } from '../../server/physics/wetBulb.ts'
import * as wood from '../../server/physics/wood.ts'
import { slabFractionalChange } from '../../server/physics/woodLag.ts'
import { type Answers, CHECK_VALUES, type Inputs, inputsOf, titleOf } from '../support/checkValues.ts'

/** Saturation as a handbook table means it: over ice below 0 °C, over water from there. */
const tableSaturationPa = (tempC: number) =>
  tempC < 0 ? air.saturationVaporPressureIcePa(tempC) : air.saturationVaporPressurePa(tempC)
const saturatedRatio = (i: Inputs) => air.humidityRatio(tableSaturationPa(i.number('t_C')), i.number('p_Pa'))
const vaporPa = (i: Inputs) => air.vaporPressurePa(i.number('t_C'), i.number('rh_pct'))
const ratio = (i: Inputs) => air.humidityRatio(vaporPa(i), i.number('p_Pa'))
const bulbRatio = (i: Inputs) => humidityRatioFromWetBulb(i.number('t_C'), i.number('wet_bulb_C'), i.number('p_Pa'))

const psychrometrics: Answers = {
  saturation_pressure_over_ice: (i) => air.saturationVaporPressureIcePa(i.number('t_C')),
  saturation_pressure_over_water: (i) => air.saturationVaporPressurePa(i.number('t_C')),
  saturation_pressure_triple_point: (i) => air.saturationVaporPressurePa(i.number('t_C')),
  saturation_humidity_ratio: saturatedRatio,
  saturated_air_enthalpy: (i) => air.enthalpyKjKg(i.number('t_C'), saturatedRatio(i)),
  dry_air_specific_volume: (i) => air.specificVolumeM3Kg(i.number('t_C'), 0, i.number('p_Pa')),
  standard_pressure_at_altitude: (i) => air.standardPressurePa(i.number('altitude_m')),
  humidity_ratio_from_wet_bulb: bulbRatio,
  relative_humidity_from_wet_bulb: (i) =>
    air.rhPctFromVaporPressure(i.number('t_C'), air.vaporPressureFromHumidityRatioPa(bulbRatio(i), i.number('p_Pa'))),
  specific_volume_from_wet_bulb: (i) => air.specificVolumeM3Kg(i.number('t_C'), bulbRatio(i), i.number('p_Pa')),
  dew_point: (i) => air.dewPointC(vaporPa(i)),
  // These rows refer RH to the handbook's convention, over ice below 0 °C; sensors, and this program, mean over water.
  frost_point: (i) => air.frostPointC((i.number('rh_pct') / 100) * tableSaturationPa(i.number('t_C'))),
  humidity_ratio: ratio,
  thermodynamic_wet_bulb: (i) => wetBulbC(i.number('t_C'), i.number('rh_pct'), i.number('p_Pa')),
  moist_air_specific_volume: (i) => air.specificVolumeM3Kg(i.number('t_C'), ratio(i), i.number('p_Pa')),
  moist_air_enthalpy: (i) => air.enthalpyKjKg(i.number('t_C'), ratio(i)),
  absolute_humidity_vapour_density: (i) => air.vaporDensityGM3(i.number('t_C'), vaporPa(i)),
  dew_point_imperial: (i) =>
    units.fahrenheitFromCelsius(air.dewPointFromRhC(units.celsiusFromFahrenheit(i.number('t_F')), i.number('rh_pct'))),
  humidity_ratio_grains_per_lb: (i) => {
    const pa = air.vaporPressurePa(units.celsiusFromFahrenheit(i.number('t_F')), i.number('rh_pct'))
    return units.grainsPerLbFromHumidityRatio(air.humidityRatio(pa, i.number('p_Pa')))
  },
  rh_when_same_air_is_read_at_another_temperature: (i) =>
    air.rhAtOtherTemperaturePct(i.number('t_air_C'), i.number('rh_air_pct'), i.number('t_sensor_C')),
  rh_of_air_cooled_or_warmed_at_constant_vapour_pressure_uncapped: (i) =>
    air.rhAtOtherTemperaturePct(i.number('t1_C'), i.number('rh1_pct'), i.number('t2_C')),
}

const woodAnswers: Answers = {
  wood_emc: (i) => wood.equilibriumMoisturePct(celsius(i), i.number('rh_pct')),
  rh_for_wood_emc: (i) => wood.rhPctForEquilibriumMoisture(i.number('t_C'), i.number('emc_pctMC')),
  moisture_content_oven_dry: (i) => wood.moistureFromMassesPct(i.number('mass_wet_g'), i.number('mass_dry_g')),
  wood_density: (i) => wood.woodDensityKgM3(i.number('specific_gravity_at_MC'), i.number('mc_pct')),
  fractional_moisture_change_slab_fixed_surface: (i) =>
    slabFractionalChange(i.number('fourier_number_Dt_over_L2_half_thickness')),
}

function celsius(i: Inputs): number {
  try {
    return i.number('t_C')
  } catch {
    return units.celsiusFromFahrenheit(i.number('t_F'))
  }
}

const moldClass = (i: Inputs) => mold.MOLD_CLASSES[i.text('class').replace('_', ' ') as mold.MoldClass]
const moldSapwood = (i: Inputs) =>
  mold.sapwood(i.number('W') === 1 ? 'spruce' : 'pine', i.number('SQ') === 1 ? 'kiln-dried' : 'resawn')

/** Index after each hour of one constant climate. */
function constantClimate(i: Inputs, material: mold.MoldMaterial, hours: number): Float64Array {
  const tempC = new Float64Array(hours).fill(i.number('t_C'))
  const rhPct = new Float64Array(hours).fill(i.number('rh_pct'))
  return mold.moldIndexInto(new Float64Array(hours), tempC, rhPct, 1, { material }, i.number('M0'))
}

const hoursTo = (index: number, material: (i: Inputs) => mold.MoldMaterial) => (i: Inputs) =>
  constantClimate(i, material(i), 8760).findIndex((value) => value >= index) + 1

const moldAnswers: Answers = {
  mould_rh_critical_pine: (i) => mold.criticalRhPct(i.number('t_C'), i.number('rh_min_pct')),
  mould_response_time_tm_weeks_index1: (i) => mold.weeksToIndex1(i.number('t_C'), i.number('rh_pct'), moldSapwood(i)),
  mould_response_time_tv_weeks_index3: (i) => mold.weeksToIndex3(i.number('t_C'), i.number('rh_pct'), moldSapwood(i)),
  mould_index_maximum: (i) => mold.highestMoldIndex(i.number('t_C'), i.number('rh_pct'), moldClass(i)),
  mould_hours_to_index_3_constant_climate_original_pine: hoursTo(3, moldSapwood),
  mould_hours_to_index_1_constant_climate_original_pine: hoursTo(1, moldSapwood),
  mould_hours_to_index_3_constant_climate_class_model: hoursTo(3, moldClass),
  mould_hours_to_index_1_constant_climate_class_model: hoursTo(1, moldClass),
  mould_index_after_one_year_constant_climate_class_model: (i) =>
    constantClimate(i, moldClass(i), i.number('hours')).at(-1)!,
  mould_index_after_dry_spell: (i) => {
    const hours = i.number('dry_hours')
    const dry = new Float64Array(hours).fill(40)
    const options = { material: mold.sapwood(), declineCoefficient: i.number('decline_coefficient') }
    return mold.moldIndexInto(new Float64Array(hours), dry, dry, 1, options, i.number('M0')).at(-1)!
  },
  ashrae160_2009_30day_criterion_met: (i) =>
    Number(meetsThirtyDayCriterion(i.number('mean30d_t_C'), i.number('mean30d_rh_pct'))),
  mrd_daily_dose: (i) => mrdDailyDose(i.number('t_C'), i.number('rh_pct')),
}

const decayAnswers: Answers = {
  decay_slow_below_temperature: () => decay.DECAY_SLOW_BELOW_C,
  decay_essentially_stops_above_temperature: () => decay.DECAY_STOPS_ABOVE_C,
  traditional_safe_limit_untreated_lumber: () => decay.SAFE_WOOD_MC_PCT,
}

function salt(name: string): Salt {
  if (!(name in SALTS)) throw new Error(`No salt named ${name}.`)
  return name as Salt
}

const dehumidifierAnswers: Answers = {
  dehumidifier_capacity_factor_generic: (i) => dehumidifier.capacityFactor(i.number('t_C'), i.number('rh_pct')),
  dehumidifier_energy_factor_factor_generic: (i) =>
    dehumidifier.energyFactorFactor(i.number('t_C'), i.number('rh_pct')),
  dehumidifier_capacity_factor_example: (i) =>
    dehumidifier.capacityFactor(i.number('t_C'), i.number('rh_pct'), 'example'),
  dehumidifier_energy_factor_factor_example: (i) =>
    dehumidifier.energyFactorFactor(i.number('t_C'), i.number('rh_pct'), 'example'),
  minimum_ief_portable: (i) =>
    dehumidifier.minimumIefPortable(units.litersFromPints(i.number('capacity_US_pints_per_day'))),
  minimum_ief_whole_home: (i) => dehumidifier.minimumIefWholeHome(units.m3FromCubicFeet(i.number('case_volume_ft3'))),
  dehumidifier_energy_per_day_at_rating: (i) =>
    dehumidifier.energyKwhPerDay(
      units.litersFromPints(i.number('capacity_US_pints_per_day')),
      i.number('ief_L_per_kWh'),
    ),
  doe_whole_home_test_dry_bulb_F: () =>
    Math.round(units.fahrenheitFromCelsius(dehumidifier.RATING_BASES_C['73 °F']) * 1e9) / 1e9,
  all_tests_rh_pct: () => dehumidifier.RATING_RH_PCT,
}

/** Rows of the foot-pound example texts, whose worked numbers carry the texts' own rounding. */
const drainage: Answers = {
  weighted_runoff_coefficient: (i) => {
    const coefficients = i.numbers('C')
    return water.weightedRunoffCoefficient(
      i.numbers('areas_ac').map((area, index) => ({ area, coefficient: coefficients[index]! })),
    )
  },
  // The handbook's foot form takes 1 acre-inch per hour for 1 ft³/s; it is 1.00833, which the worked example leaves out.
  rational_peak_flow: (i) =>
    units.cubicFeetPerSecondFromM3s(
      water.rationalFlowM3s(
        i.number('C'),
        units.mmFromInches(i.number('i_in_per_h')),
        units.m2FromAcres(i.number('area_ac')),
      ),
    ) / 1.00833,
  full_pipe_diameter_required: (i) =>
    units.feetFromMeters(
      water.fullPipeDiameterM(units.m3sFromCubicFeetPerSecond(i.number('Q_ft3_s')), i.number('n'), i.number('slope')),
    ),
  full_pipe_flow: (i) =>
    units.cubicFeetPerSecondFromM3s(
      water.fullPipeFlowM3s(units.metersFromFeet(i.number('D_ft')), i.number('n'), i.number('slope')),
    ),
  full_pipe_velocity: (i) =>
    units.feetFromMeters(
      water.fullPipeVelocityMs(units.metersFromFeet(i.number('D_ft')), i.number('n'), i.number('slope')),
    ),
  grate_sag_weir_perimeter: (i) =>
    units.feetFromMeters(
      water.grateWeirPerimeterM(
        units.m3sFromCubicFeetPerSecond(i.number('Q_ft3_s')),
        units.metersFromFeet(i.number('d_ft')),
      ),
    ),
  grate_sag_weir_depth: (i) =>
    units.feetFromMeters(
      water.grateDepth(
        units.m3sFromCubicFeetPerSecond(i.number('Q_ft3_s')),
        units.metersFromFeet(i.number('P_ft')),
        10, // m² of openings: so many that the rim decides, as in the example
      ).depthM,
    ),
  full_pipe_flow_gpm: (i) =>
    units.gpmFromM3s(
      water.fullPipeFlowM3s(
        units.mmFromInches(i.number('inside_diameter_in')) / 1000,
        i.number('manning_n'),
        i.number('slope_ft_per_ft'),
      ),
    ),
  roof_runoff_volume: (i) =>
    units.gallonsFromLiters(
      water.runoffL(
        units.m2FromSquareFeet(i.number('plan_area_ft2')),
        units.mmFromInches(i.number('rain_in')),
        i.number('C'),
      ),
    ),
  roof_runoff_flow: (i) =>
    units.gpmFromM3s(
      water.rationalFlowM3s(
        i.number('C'),
        units.mmFromInches(i.number('i_in_per_h')),
        units.m2FromSquareFeet(i.number('plan_area_ft2')),
      ),
    ),
}

const condensation: Answers = {
  outer_surface_temperature: (i) =>
    surface.flatSurfaceTempC(i.number('air_t_C'), i.number('inside_t_C'), {
      insideFilmM2kw: i.number('R_inside_film_m2K_W'),
      insulationM2kw: i.number('R_insulation_m2K_W'),
      outsideFilmM2kw: i.number('R_outside_film_m2K_W'),
    }),
  surface_relative_humidity_uncapped: (i) =>
    surface.surfaceRhPct(i.number('air_t_C'), i.number('air_rh_pct'), i.number('surface_t_C')),
  pipe_outer_surface_temperature: (i) =>
    surface.pipeSurfaceTempC(i.number('air_t_C'), i.number('pipe_surface_t_C'), {
      outerDiameterM: i.number('pipe_outer_diameter_mm') / 1000,
      thicknessM: i.number('insulation_thickness_mm') / 1000,
      conductivityWMK: i.number('k_W_mK'),
      outerFilmWM2K: i.number('h_outer_W_m2K'),
    }),
  minimum_flat_insulation_thickness_no_condensation: (i) =>
    1000 *
    i.number('k_W_mK') *
    surface.minimumInsulationM2kw(
      i.number('air_t_C'),
      i.number('air_rh_pct'),
      i.number('cold_side_t_C'),
      i.number('R_outside_film_m2K_W'),
    ),
}

const conversions: Answers = {
  permeance_conversion: (i) => units.permeanceFromPerms(i.number('permeance_US_perm')) * 1e12,
  litres_from_US_pints: (i) => units.litersFromPints(i.number('US_pints')),
  kg_m2_day_from_lb_1000ft2_day: (i) => units.kgM2FromPoundsPer1000Ft2(i.number('lb_per_1000ft2_day')),
}

const ANSWERS: Answers = {
  ...psychrometrics,
  ...woodAnswers,
  ...moldAnswers,
  ...decayAnswers,
  saturated_salt_rh: (i) => saltRhPct(salt(i.text('salt')), i.number('t_C')),
  ...dehumidifierAnswers,
  ...drainage,
  ...condensation,
  ...conversions,
}

/** Quantities that no formula of physics/ answers, each with the reason. */
const LEFT_OUT: Record<string, string> = {
  saturation_pressure_magnus_WMO_water: 'one saturation formula serves the program, and it is not Magnus',
  saturation_pressure_magnus_WMO_ice: 'one saturation formula serves the program, and it is not Magnus',
  vent_net_free_area_required: 'a code figure, which belongs to the rules of the trade, not to physics',
  unvented_crawl_continuous_exhaust_rate: 'a code figure, which belongs to the rules of the trade, not to physics',
  unvented_crawl_dehumidification_rate: 'a code figure, which belongs to the rules of the trade, not to physics',
  irc_R401_3_grade_ok: 'a code figure, which belongs to the rules of the trade, not to physics',
  irc_R401_3_swale_min_slope_within_10ft: 'a code figure, which belongs to the rules of the trade, not to physics',
  vapour_retarder_class: 'a code figure, which belongs to the rules of the trade, not to physics',
  vapour_diffusion_through_ground_cover: 'a moisture load, which belongs to sizing, not to physics',
  open_water_evaporation_activity_factor_1: 'a moisture load, which belongs to sizing, not to physics',
  net_moisture_gain_by_outdoor_air_exchange: 'a moisture load, which belongs to sizing, not to physics',
}

// Statistics are checked beside their code, in tests/series/statistics.test.ts.
const rows = CHECK_VALUES.filter((row) => row.topic !== 'statistics')
const answered = rows.filter((row) => row.quantity in ANSWERS)

for (const row of answered) {
  test(titleOf(row), () => {
    const found = ANSWERS[row.quantity]!(inputsOf(row))
    // A tolerance of 0 marks a figure that is exact by rule.
    expect(Math.abs(found - row.expected), `found ${found}, expected ${row.expected}`).toBeLessThanOrEqual(
      row.tolerance,
    )
  })
}

test('every check value is either answered or left out for a stated reason, never both', () => {
  const open = rows.filter((row) => row.quantity in ANSWERS === row.quantity in LEFT_OUT)
  expect(open.map((row) => row.id)).toEqual([])
  expect(answered.length).toBeGreaterThan(200)
})
