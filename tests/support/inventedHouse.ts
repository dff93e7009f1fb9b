/** A house of the demo generator as its owner would enter it, and its readings as the hourly record the model takes. */
import { randomStream } from '../../demo-data/generator/random.ts'
import type { SimulatedHouse } from '../../demo-data/generator/simulateHouse.ts'
import type { HouseSpec, WorkSpec } from '../../demo-data/generator/spec.ts'
import { wallClock } from '../../demo-data/generator/wallTime.ts'
import { HOUR_MS, type HouseRecord, type SpotSeries, type Work } from '../../server/moisture/input.ts'
import { vaporPressurePa } from '../../server/physics/air.ts'

/** Faults that the quality checks on readings find; here they are simply left out. */
const FOUND_FAULTS = ['stuck', 'unit swap']

/**
 * @param withHouseAir hands the living-space logger over, as one house in two would have
 */
export function recordOf(
  spec: HouseSpec,
  run: SimulatedHouse,
  seed: number,
  withHouseAir = seed % 2 === 0,
): HouseRecord {
  const clock = wallClock(spec.timeZone)
  const startAt = Math.ceil(run.fromMs / HOUR_MS) * HOUR_MS
  const hours = Math.floor((run.toMs - startAt) / HOUR_MS)
  const random = randomStream(seed, 'as entered')
  const about = (value: number, share: number, step: number) =>
    Math.max(step, Math.round((value * (1 + random.normal(0, share))) / step) * step)
  const seriesOf = (key: string): SpotSeries => {
    const probe = spec.probes.find((p) => p.key === key)!
    const bad = probe.faults
      .filter((f) => FOUND_FAULTS.includes(f.kind))
      .map((f) => [clock.instantOf(f.from), clock.instantOf(f.to)] as const)
    const { at, tempC, rhPct } = run.readings[key]!
    return hourlySeries(key, startAt, hours, at, tempC, rhPct, (t) => bad.some(([from, to]) => t >= from && t < to))
  }
  const { geometry, airflow, ground, water } = spec
  const rainOffset = Math.round((startAt - run.weather.startMs) / HOUR_MS)
  const gauge = 1 + random.normal(0, 0.06)
  return {
    startAt,
    hours,
    spots: spec.spots.map((spot) => seriesOf(spot.key)),
    outdoor: seriesOf('outdoor'),
    station: null,
    rain: { step: 'hourly', rainMm: run.weather.rainMm.slice(rainOffset, rainOffset + hours).map((mm) => mm * gauge) },
    houseAir: withHouseAir ? seriesOf('living') : null,
    condensateL: null,
    powerW: null,
    geometry: {
      floorAreaM2: about(geometry.floorAreaM2, 0.05, 1),
      heightM: about(geometry.heightM, 0.05, 0.1),
      perimeterM: about(geometry.perimeterM, 0.05, 1),
      volumeM3: null,
      coverShare: Math.round(ground.coverShare * 10) / 10,
      ventCount: airflow.ventCount,
      ventState: airflow.ventOpenShare < 0.15 ? 'closed' : airflow.ventOpenShare < 0.75 ? 'partly open' : 'open',
      downspouts:
        water.roofShareToWall > 0.3 ? 'end at the wall' : water.roofShareToWall > 0.1 ? 'some led away' : 'led away',
      floorInsulated: spec.livingSpace.floorUWM2K < 1,
    },
    machineAtStart: null,
    latitude: spec.climate.latitude,
    elevationM: 100,
    targetRhPct: 55,
    works: spec.works.map((work) => workOf(work, clock.instantOf)),
  }
}

function workOf(work: WorkSpec, instantOf: (text: string) => number): Work {
  return {
    key: work.key,
    kind: work.kind,
    from: instantOf(work.from),
    to: work.to === undefined ? null : instantOf(work.to),
    details:
      work.kind === 'dehumidifier'
        ? { setRhPct: work.setPointRhPct, ratedLPerDay: work.ratedLPerDay, ratingBasis: '80 °F' }
        : undefined,
  }
}

/** Hourly means of readings; the vapor pressure is averaged, not the RH. */
export function hourlySeries(
  key: string,
  startAt: number,
  hours: number,
  at: ArrayLike<number>,
  tempC: ArrayLike<number>,
  rhPct: ArrayLike<number>,
  leaveOut: (at: number) => boolean = () => false,
): SpotSeries {
  const column = () => new Float64Array(hours)
  const sums = { tempC: column(), vaporPressurePa: column(), square: column(), n: column(), steps: column() }
  let last = -1
  for (let i = 0; i < at.length; i++) {
    const h = Math.floor((at[i]! - startAt) / HOUR_MS)
    if (h < 0 || h >= hours || leaveOut(at[i]!) || !(tempC[i]! > -40 && tempC[i]! < 60) || !(rhPct[i]! > 0)) continue
    sums.n[h]!++
    sums.tempC[h]! += tempC[i]!
    sums.vaporPressurePa[h]! += vaporPressurePa(tempC[i]!, Math.min(100, rhPct[i]!))
    if (last >= 0 && at[i]! - at[last]! < 2.5 * HOUR_MS) {
      sums.square[h]! += (rhPct[i]! - rhPct[last]!) ** 2
      sums.steps[h]!++
    }
    last = i
  }
  const mean = (sum: Float64Array, n: Float64Array) => sum.map((v, h) => (n[h] === 0 ? Number.NaN : v / n[h]!))
  return {
    key,
    tempC: mean(sums.tempC, sums.n),
    vaporPressurePa: mean(sums.vaporPressurePa, sums.n),
    rhStepPct: mean(sums.square, sums.steps).map(Math.sqrt),
  }
}
