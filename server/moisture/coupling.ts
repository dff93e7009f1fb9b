/**
 * How closely the air under the house follows outdoor air, from daily values: the slope of the dew point inside on the
 * dew point outdoors, the vapor excess, and that excess by kind of weather. Days are local days; a day counts only when
 * it is complete on both sides.
 */
import { dewPointCInto } from '../physics/airColumns.ts'
import { type DayMean, type DaySlope, meanOfDays, slopeOfDays } from './dayStatistics.ts'
import {
  type DayLimits,
  dailyMeans,
  type LocalDay,
  localDays,
  type Observed,
  type ObservedOutdoor,
  type ObservedSpot,
  rainByHourMm,
  vaporExcessPa,
} from './observed.ts'
import { rainedWithin } from './storms.ts'

export interface WeatherLimits extends DayLimits {
  /** A cold dry day: daily mean temperature and dew point outdoors below these [°C], no storm within 72 h. */
  coldDayMaxTempC: number
  coldDayMaxDewPointC: number
  /** A humid day: daily dew point outdoors from here on [°C]. */
  humidDayMinDewPointC: number
  stormMinMm: number
  stormWindowHours: number
}

export interface CouplingLimits extends WeatherLimits {
  couplingMinDays: number
  /** A slope in this band is "near 1". */
  followSlopeLow: number
  followSlopeHigh: number
  /** An excess within this is "near zero" [Pa]: what two sensors can part by. */
  sensorLimitPa: number
  /** The same after the sensors' offsets were measured side by side [Pa]. */
  sensorLimitCheckedPa: number
}

/** What outdoor air was like on each day; `rain` null where it is not known. */
export interface DayWeather {
  dewPointC: Float64Array
  coldDry: readonly boolean[]
  humid: readonly boolean[]
  rain: readonly (boolean | null)[]
}

export function dayWeather(
  observed: Observed,
  outdoor: ObservedOutdoor,
  days: readonly LocalDay[],
  limits: WeatherLimits,
): DayWeather {
  const rainMm = rainByHourMm(observed.rain, observed.startAt, observed.hours)
  const tempC = dailyMeans(outdoor.tempC, days, limits)
  const dewPointC = dailyMeans(outdoor.vaporPressurePa, days, limits)
  dewPointCInto(dewPointC, dewPointC)
  const rain = days.map((day) => rainedWithin(rainMm, day.to, day.hours + limits.stormWindowHours, limits.stormMinMm))
  return {
    dewPointC,
    rain,
    // Rain not known (null) is not dry weather.
    coldDry: days.map(
      (_, d) => tempC[d]! < limits.coldDayMaxTempC && dewPointC[d]! < limits.coldDayMaxDewPointC && rain[d] === false,
    ),
    humid: days.map((_, d) => dewPointC[d]! >= limits.humidDayMinDewPointC),
  }
}

export interface ExcessByWeather {
  all: DayMean | null
  coldDry: DayMean | null
  humid: DayMean | null
}

/** Daily mean vapor excess [Pa] on all days and by weather; null where fewer than 5 such days are known. */
export function excessByWeather(
  observed: Observed,
  spot: ObservedSpot,
  outdoor: ObservedOutdoor,
  limits: WeatherLimits,
): ExcessByWeather {
  const days = localDays(observed)
  const excess = dailyMeans(vaporExcessPa(spot, outdoor), days, limits)
  const weather = dayWeather(observed, outdoor, days, limits)
  const only = (chosen: readonly boolean[]) => meanOfDays(excess.map((value, d) => (chosen[d] ? value : Number.NaN)))
  return { all: meanOfDays(excess), coldDry: only(weather.coldDry), humid: only(weather.humid) }
}

export type Coupling =
  | {
      verdict: 'follows outdoor air' | 'moister than outdoor air' | 'drier than outdoor air' | 'goes its own way'
      /** Slope of the daily dew point inside on that outdoors, with a 90 % interval. */
      slope: DaySlope
      lagDays: 0 | 1 | 2
      excessPa: DayMean
      limitPa: number
      sentence: string
    }
  | { verdict: 'cannot tell'; reason: string; needs: string; slope: DaySlope | null; excessPa: DayMean | null }

const LAGS = [0, 1, 2] as const

/**
 * @param sideBySide the sensors' offsets were measured and corrected, which halves and more what two can part by
 */
export function couplingToOutdoorAir(
  observed: Observed,
  spot: ObservedSpot,
  sideBySide: boolean,
  limits: CouplingLimits,
): Coupling {
  const none = { verdict: 'cannot tell', slope: null, excessPa: null } as const
  const { outdoor } = observed
  if (outdoor === null) {
    return {
      ...none,
      reason: 'Outdoor air is not known.',
      needs: 'an outdoor logger or a weather station near the house',
    }
  }
  const days = localDays(observed)
  const inside = dailyMeans(spot.vaporPressurePa, days, limits)
  const outside = dailyMeans(outdoor.vaporPressurePa, days, limits)
  dewPointCInto(inside, inside)
  dewPointCInto(outside, outside)
  const excessPa = meanOfDays(dailyMeans(vaporExcessPa(spot, outdoor), days, limits))
  const fits = LAGS.map((lag) => ({ lag, fit: slopeOfDays(lagged(outside, lag), inside) }))
  const best = fits.reduce((a, b) => ((b.fit?.r2 ?? -1) > (a.fit?.r2 ?? -1) ? b : a))
  const slope = best.fit
  const known = slope?.days ?? 0
  if (slope === null || excessPa === null || known < limits.couplingMinDays) {
    const reason = `${known} days are complete inside and outdoors; ${limits.couplingMinDays} are needed to see more than one front pass.`
    return { ...none, slope, excessPa, reason, needs: `${limits.couplingMinDays - known} more complete days` }
  }
  const limitPa = sideBySide ? limits.sensorLimitCheckedPa : limits.sensorLimitPa
  const { low, mid, high } = excessPa
  const numbers = `Excess ${mid.toFixed(0)} Pa (${low.toFixed(0)} to ${high.toFixed(0)}), slope ${slope.slope.mid.toFixed(2)} (${slope.slope.low.toFixed(2)} to ${slope.slope.high.toFixed(2)}), ${known} days worth ${slope.independentDays.toFixed(0)} independent ones.`
  const answer = (verdict: Exclude<Coupling['verdict'], 'cannot tell'>, words: string): Coupling => ({
    verdict,
    slope,
    lagDays: best.lag,
    excessPa,
    limitPa,
    sentence: `${words} ${numbers}`,
  })
  if (mid > limitPa && low > 0) return answer('moister than outdoor air', 'The air holds more water than outdoor air.')
  if (mid < -limitPa && high < 0) return answer('drier than outdoor air', 'The air holds less water than outdoor air.')
  const { low: slopeLow, mid: slopeMid, high: slopeHigh } = slope.slope
  const nearOne = slopeMid >= limits.followSlopeLow && slopeMid <= limits.followSlopeHigh
  const apart = slopeHigh < limits.followSlopeLow || slopeLow > limits.followSlopeHigh
  const nearZero = low > -2 * limitPa && high < 2 * limitPa && Math.abs(mid) <= limitPa
  if (nearZero && nearOne)
    return answer('follows outdoor air', 'The air is outdoor air: nothing is added that these sensors could tell.')
  if (nearZero && apart)
    return answer('goes its own way', 'On average as moist as outdoor air, but it does not follow it from day to day.')
  return {
    verdict: 'cannot tell',
    slope,
    excessPa,
    reason: `The weather so far does not settle it. ${numbers}`,
    needs: 'more days with differing weather',
  }
}

function lagged(values: Float64Array, days: number): Float64Array {
  return values.map((_, d) => (d >= days ? values[d - days]! : Number.NaN))
}
