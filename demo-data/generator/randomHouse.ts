import { type RandomStream, randomStream } from './random.ts'
import type { FaultSpec, HouseSpec, ProbeSpec, SpotSpec, WorkSpec } from './spec.ts'

/** What was done to a random house. `nothing`: a work with a date that changes nothing, to count false alarms. */
export const WORK_KINDS = [
  'vents_sealed',
  'vents_opened',
  'ground_cover',
  'drains',
  'dehumidifier',
  'combined',
  'nothing',
] as const
export type WorkKind = (typeof WORK_KINDS)[number]

const DAY_MS = 86_400_000

/**
 * A plausible house of the humid southeast with one work (or one day of several), five to sixteen months of readings
 * and a few sensor faults. The same seed and kind give the same house. Before the work each kind has the trouble that
 * a contractor would do that work for, in a wide spread that includes houses where it hardly helps.
 */
export function randomHouseSpec(seed: number, workKind: WorkKind): HouseSpec {
  const random = randomStream(seed, `house ${workKind}`)
  // Vents are mostly closed or opened ahead of the humid season; a year's mean would hide what that season shows.
  const forSummer = workKind.startsWith('vents') && random.chance(0.75)
  const workDay = random.whole(90, 260)
  const days = workDay + (forSummer ? random.whole(60, 150) : random.whole(60, 220))
  const dayOfYear = forSummer ? random.whole(80, 190) : random.whole(0, 364)
  const first = Date.UTC(random.pick([2023, 2024]), 0, 1) + (dayOfYear - workDay) * DAY_MS
  const dateOf = (day: number) => new Date(first + day * DAY_MS).toISOString().slice(0, 10)
  const at = `${dateOf(workDay)}T${random.pick(['08:00', '10:30', '13:00', '16:00'])}`
  const floorAreaM2 = random.between(75, 220)
  const perimeterM = 4 * Math.sqrt(floorAreaM2) * random.between(1.02, 1.25)
  const startsClosed = workKind === 'vents_opened' || (workKind === 'dehumidifier' && random.chance(0.75))
  const startsBare = workKind === 'ground_cover' || (workKind === 'combined' && random.chance(0.6))
  // Closing or opening vents is tried where the ground is in order; on bare wet ground it makes things worse.
  const goodGround = workKind === 'vents_sealed' || (workKind === 'vents_opened' && random.chance(0.6))
  const wetSite =
    workKind === 'drains' || (workKind === 'combined' && random.chance(0.7)) || random.chance(goodGround ? 0.06 : 0.2)
  const ventCount = Math.round(perimeterM / random.between(4, 7))
  const living = {
    heatingC: random.between(19.5, 21.5),
    coolingC: random.between(22.5, 25.5),
    downFlowCoolingM3H: random.between(goodGround ? 30 : 15, 110),
    downFlowM3H: random.between(3, 25),
    upFlowM3HPerRootK: random.between(3, 15),
    floorUWM2K: random.chance(0.5) ? random.between(0.4, 0.8) : random.between(1, 1.9),
    ductHeatingW: random.between(0, 700),
    ductCoolingW: random.between(0, 500),
  }
  const spec: HouseSpec = {
    key: `${workKind}-${seed}`,
    timeZone: 'America/New_York',
    from: dateOf(0),
    to: dateOf(days),
    spinUpDays: 100,
    climate: {
      latitude: random.between(31, 37),
      meanTempC: random.between(14.5, 19),
      tempAmplitudeC: random.between(8, 11),
      meanDewPointC: 0,
      dewPointAmplitudeC: random.between(8.5, 10.5),
      rainMmPerYear: random.between(1000, 1550),
      meanWindMS: random.between(1.8, 3.6),
    },
    geometry: { floorAreaM2, heightM: random.between(0.6, 1.3), perimeterM },
    airflow: {
      ventCount,
      ventFreeAreaM2: random.between(0.015, 0.035),
      ventOpenShare: startsClosed ? random.between(0.01, 0.08) : random.between(0.6, 1),
      leakAreaM2: random.between(0.008, 0.04),
      windShelter: random.between(0.35, 0.75),
    },
    ground: {
      coverShare: startsBare
        ? random.between(0, 0.35)
        : goodGround
          ? random.between(0.94, 0.995)
          : random.between(0.8, 0.99),
      bareConductance: random.between(2e-9, 8e-9),
      coverConductance: goodGround ? random.between(4e-11, 1.5e-10) : random.between(6e-11, 4e-10),
      conductivityWMK: random.between(0.9, 1.8),
    },
    water: {
      roofAreaM2: floorAreaM2 * random.between(1.1, 1.4),
      roofShareToWall: wetSite ? random.between(0.35, 0.9) : random.between(0, 0.12),
      yardAreaM2: random.between(40, 220),
      yardShareToWall: wetSite ? random.between(0.1, 0.5) : random.between(0, 0.06),
      daysToEnter: random.between(0.2, 1.5),
      daysToSink: random.between(0.8, 5),
      wetAreaM2: floorAreaM2 * random.between(0.1, 0.6),
    },
    livingSpace: living,
    leaks: random.chance(0.12) ? [{ litersPerDay: random.between(2, 10), from: '2000-01-01' }] : [],
    works: [],
    spots: randomSpots(random),
    probes: [],
  }
  spec.climate.meanDewPointC = spec.climate.meanTempC - random.between(4.6, 6.4)
  spec.works = worksOf(workKind, spec, at, random)
  spec.probes = randomProbes(spec, dateOf, days, random)
  return spec
}

function worksOf(kind: WorkKind, spec: HouseSpec, from: string, random: RandomStream): WorkSpec[] {
  const sealed = (): WorkSpec => ({
    key: 'vents-sealed',
    kind: 'vents sealed',
    from,
    ventOpenShare: random.between(0.005, 0.12),
    leakAreaM2: spec.airflow.leakAreaM2 * random.between(0.5, 1),
  })
  const cover = (): WorkSpec => ({
    key: 'ground-cover',
    kind: 'ground cover',
    from,
    coverShare: random.between(0.92, 0.995),
    coverConductance: random.between(4e-11, 2e-10),
  })
  const drains = (): WorkSpec[] => [
    {
      key: 'downspout-drain',
      kind: 'downspout drain',
      from,
      roofShareLeft: spec.water.roofShareToWall * random.between(0, 0.2),
    },
    { key: 'yard-drain', kind: 'yard drain', from, yardShareLeft: spec.water.yardShareToWall * random.between(0, 0.3) },
  ]
  const dehumidifier = (): WorkSpec => ({
    key: 'dehumidifier',
    kind: 'dehumidifier',
    from,
    ratedLPerDay: random.pick([14, 24, 33, 42]),
    setPointRhPct: random.pick([50, 55, 60]),
    hysteresisRhPct: random.between(3, 7),
  })
  switch (kind) {
    case 'vents_sealed':
      return [sealed()]
    case 'vents_opened':
      return [{ key: 'vents-opened', kind: 'vents opened', from, ventOpenShare: random.between(0.6, 1) }]
    case 'ground_cover':
      return [cover()]
    case 'drains':
      return drains()
    case 'dehumidifier':
      return [dehumidifier()]
    case 'combined':
      return [...drains(), cover(), sealed(), ...(random.chance(0.4) ? [dehumidifier()] : [])]
    case 'nothing':
      return [
        random.pick<WorkSpec>([
          { key: 'vent-lids', kind: 'vents sealed', from, ventOpenShare: spec.airflow.ventOpenShare },
          { key: 'downspout-drain', kind: 'downspout drain', from, roofShareLeft: spec.water.roofShareToWall },
          { key: 'ground-cover', kind: 'ground cover', from, coverShare: spec.ground.coverShare },
          { key: 'other', kind: 'other', from },
        ]),
      ]
  }
}

function randomSpots(random: RandomStream): SpotSpec[] {
  const spot = (key: string, outdoorShare: number, floorShare: number, groundShare: number, wet: number): SpotSpec => ({
    key,
    outdoorShare: outdoorShare * random.between(0.5, 1.4),
    floorShare: floorShare * random.between(0.5, 1.4),
    groundShare: groundShare * random.between(0.5, 1.4),
    wetPaPerLH: wet * random.between(0.4, 1.5),
    leakPaPerLH: random.between(-40, 80),
    swingC: random.between(0.05, 0.25),
    swingPa: random.between(5, 18),
  })
  return [
    spot('low-corner', -0.06, -0.05, 0.2, 220),
    spot('near-vent', 0.22, 0, 0, -70),
    spot('mid-joist', -0.03, 0.3, -0.1, -50),
    spot('far-corner', -0.12, -0.05, 0.05, -60),
  ]
}

function randomProbes(
  spec: HouseSpec,
  dateOf: (day: number) => string,
  days: number,
  random: RandomStream,
): ProbeSpec[] {
  const places: ProbeSpec['at'][] = [...spec.spots.map(({ key }) => ({ spot: key })), 'outdoor', 'living']
  return places.map((at) => ({
    key: typeof at === 'string' ? at : at.spot,
    at,
    intervalMinutes: at === 'living' ? 60 : 15,
    offsetC: random.normal(0, 0.15),
    offsetRhPct: random.normal(0, 1),
    noiseC: 0.04,
    noiseRhPct: 0.25,
    stepC: 0.1,
    stepRhPct: 0.1,
    lagMinutes: random.between(6, 20),
    creepRhPct: random.between(0, 2),
    faults: random.chance(0.35) ? [randomFault(dateOf, days, random)] : [],
  }))
}

function randomFault(dateOf: (day: number) => string, days: number, random: RandomStream): FaultSpec {
  const first = random.whole(5, days - 30)
  const from = dateOf(first)
  const until = (low: number, high: number) => dateOf(first + random.whole(low, high))
  switch (random.pick(['gap', 'dying battery', 'stuck', 'clock shift', 'unit swap', 'rh drift'] as const)) {
    case 'gap':
      return { kind: 'gap', from, to: until(1, 20) }
    case 'dying battery':
      return { kind: 'dying battery', from, to: until(8, 25) }
    case 'stuck':
      return { kind: 'stuck', from, to: until(2, 10) }
    case 'clock shift':
      return { kind: 'clock shift', from, to: until(5, 25), minutes: random.pick([-60, 60, 720]) }
    case 'unit swap':
      return { kind: 'unit swap', from, to: until(1, 8) }
    case 'rh drift':
      return { kind: 'rh drift', from, to: dateOf(days), rhPctPerMonth: random.between(-0.4, 0.4) }
  }
}
