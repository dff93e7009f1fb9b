import { saturationPa } from './air.ts'
import { type RandomStream, randomStream } from './random.ts'
import type { ClimateSpec } from './spec.ts'

/** Invented weather, one value an hour. State values hold at the hour; rain is the sum over the hour that follows. */
export interface Weather {
  startMs: number
  tempC: Float64Array
  vaporPressurePa: Float64Array
  windMS: Float64Array
  rainMm: Float64Array
  solarWM2: Float64Array
}

const HOUR_MS = 3_600_000
const YEAR_HOURS = 8766
/** Long run of the storm recipe below with seeds 1-40, by measurement; amounts are scaled from it to the climate. */
const RECIPE_MM_PER_YEAR = 1307

/**
 * Weather of a humid subtropical climate (hot wet summers, mild winters with fronts): a yearly wave, fronts that drop
 * temperature and dew point and let them climb back, day-to-day wandering, a daily wave that clouds flatten; rain as
 * frontal storms and as thunderstorms that cluster in wet spells.
 *
 * @param utcOffsetHours of local mean time, so that afternoons fall in the afternoon
 */
export function inventWeather(
  climate: ClimateSpec,
  startMs: number,
  hours: number,
  utcOffsetHours: number,
  seed: number,
): Weather {
  const anomalies = inventFronts(startMs, hours, seed)
  const { rainMm, cloud } = inventRain(climate, anomalies.frontHours, startMs, hours, utcOffsetHours, seed)
  const random = randomStream(seed, 'weather')
  const tempC = new Float64Array(hours)
  const vaporPressurePa = new Float64Array(hours)
  const windMS = new Float64Array(hours)
  const solarWM2 = new Float64Array(hours)
  let wanderT = 0
  let wanderDew = 0
  let wanderWind = 0
  for (let i = 0; i < hours; i++) {
    const at = startMs + i * HOUR_MS
    const summer = summerness(at)
    const hour = localHour(at, utcOffsetHours)
    // Memory of about a day and a half for temperature and dew point, of ten hours for wind.
    wanderT = 0.973 * wanderT + random.normal(0, 0.23 * (1.9 - 1.1 * summer))
    wanderDew = 0.973 * wanderDew + random.normal(0, 0.23 * (2.3 - 1.5 * summer))
    wanderWind = 0.9 * wanderWind + random.normal(0, 0.2)
    const sun = sunHeight(climate.latitude, at, hour)
    solarWM2[i] = sun > 0 ? 950 * sun ** 1.15 * (1 - 0.72 * cloud[i]!) : 0
    const daily = 5.8 * (1 - 0.6 * cloud[i]!) * Math.cos((2 * Math.PI * (hour - 15.5)) / 24)
    const t =
      climate.meanTempC +
      climate.tempAmplitudeC * (2 * summer - 1) +
      anomalies.tempC[i]! +
      wanderT +
      daily -
      (rainMm[i]! > 0.5 ? 1.5 : 0)
    const dew =
      climate.meanDewPointC +
      climate.dewPointAmplitudeC * (2 * summer - 1) +
      anomalies.dewPointC[i]! +
      wanderDew +
      0.6 * Math.sin((2 * Math.PI * (hour - 4)) / 24) +
      1.3 * cloud[i]! -
      0.5
    tempC[i] = t
    // Night air stops a little short of saturation, as measured outdoor humidity does.
    vaporPressurePa[i] = Math.min(saturationPa(dew), 0.975 * saturationPa(t))
    const breeze = 1 + 0.35 * Math.cos((2 * Math.PI * (hour - 14.5)) / 24)
    windMS[i] = climate.meanWindMS * (1.15 - 0.3 * summer) * breeze * Math.exp(wanderWind - 0.1)
  }
  return { startMs, tempC, vaporPressurePa, windMS, rainMm, solarWM2 }
}

/** 0 in the last third of January, 1 in the last third of July. */
export function summerness(at: number): number {
  const yearHour = (at / HOUR_MS) % YEAR_HOURS
  return 0.5 - 0.5 * Math.cos((2 * Math.PI * (yearHour - 24 * 22)) / YEAR_HOURS)
}

const localHour = (at: number, utcOffsetHours: number) => (((at / HOUR_MS + utcOffsetHours) % 24) + 24) % 24

/** Sine of the height of the sun; declination by the usual cosine. */
function sunHeight(latitude: number, at: number, hour: number): number {
  const yearDay = ((at / HOUR_MS) % YEAR_HOURS) / 24
  const declination = -0.409 * Math.cos((2 * Math.PI * (yearDay + 10)) / 365.25)
  const lat = (latitude * Math.PI) / 180
  const turn = (Math.PI * (hour - 12)) / 12
  return Math.sin(lat) * Math.sin(declination) + Math.cos(lat) * Math.cos(declination) * Math.cos(turn)
}

/** Warm and moist before a front, cold and dry behind it: a saw-tooth of anomalies, strong in winter, weak in summer. */
function inventFronts(startMs: number, hours: number, seed: number) {
  const random = randomStream(seed, 'fronts')
  const tempC = new Float64Array(hours)
  const dewPointC = new Float64Array(hours)
  const frontHours: number[] = []
  let from = -Math.round(random.between(0, 100))
  while (from < hours) {
    const summer = summerness(startMs + from * HOUR_MS)
    const length = Math.round(40 + random.exponential(70 + 60 * summer))
    const strength = random.between(0.4, 1.5) * (1 - 0.72 * summer)
    const dry = random.between(0.7, 1.5)
    for (let i = Math.max(0, from); i < Math.min(hours, from + length); i++) {
      const since = i - from
      const fall = Math.min(1, since / 7) // the change takes about seven hours
      const climb = since / length
      tempC[i] = strength * 6.5 * (1 - fall + fall * (2 * climb - 1))
      dewPointC[i] = strength * dry * 7 * (1 - fall + fall * (2 * climb - 1))
    }
    from += length
    if (from >= 0 && from < hours) frontHours.push(from)
  }
  return { tempC, dewPointC, frontHours }
}

function inventRain(
  climate: ClimateSpec,
  frontHours: readonly number[],
  startMs: number,
  hours: number,
  utcOffsetHours: number,
  seed: number,
) {
  const random = randomStream(seed, 'rain')
  const rainMm = new Float64Array(hours)
  const cloud = new Float64Array(hours)
  const scale = climate.rainMmPerYear / RECIPE_MM_PER_YEAR
  for (let i = 0; i < hours; i++) cloud[i] = 0.25
  for (const front of frontHours) {
    const summer = summerness(startMs + front * HOUR_MS)
    if (!random.chance(0.78 - 0.3 * summer)) continue
    const length = random.whole(5, Math.round(20 - 8 * summer))
    const first = front - Math.round(length * random.between(0.4, 0.9))
    addStorm(random, rainMm, cloud, first, length, random.gamma(1, 19) * scale + 1)
  }
  // Thunderstorms come in spells: a wet week is followed by another wet day more often than chance would have it.
  let wetSpell = false
  for (let day = 0; day * 24 < hours; day++) {
    wetSpell = random.chance(wetSpell ? 0.8 : 0.14)
    const at = startMs + day * 24 * HOUR_MS
    const convective = Math.max(0, summerness(at) - 0.35) / 0.65
    if (!random.chance((wetSpell ? 0.55 : 0.08) * convective)) continue
    const afternoon = day * 24 + Math.round(random.normal(16.5, 2.2)) - Math.round(localHour(at, utcOffsetHours))
    addStorm(random, rainMm, cloud, afternoon, random.whole(1, 3), random.gamma(1, 13) * scale + 0.5)
  }
  return { rainMm, cloud }
}

/** Spreads one storm over its hours, unevenly, with cloud before and after it. */
function addStorm(
  random: RandomStream,
  rainMm: Float64Array,
  cloud: Float64Array,
  first: number,
  length: number,
  totalMm: number,
): void {
  const weights = Array.from({ length }, () => 0.15 + random.exponential(1))
  const sum = weights.reduce((a, b) => a + b, 0)
  weights.forEach((weight, k) => {
    const i = first + k
    if (i >= 0 && i < rainMm.length) rainMm[i] = rainMm[i]! + (totalMm * weight) / sum
  })
  for (let i = Math.max(0, first - 5); i < Math.min(cloud.length, first + length + 4); i++) cloud[i] = 0.92
}
