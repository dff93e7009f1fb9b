import { randomStream } from './generator/random.ts'
import type { SimulatedHouse } from './generator/simulateHouse.ts'
import { wallClock } from './generator/wallTime.ts'

/** How a contractor would have entered the demo house: round numbers, a few per cent off the spec behind it. */
export function demoHouseFile(run: SimulatedHouse, seed: number) {
  const from = '2025-05-01'
  const probe = (logger: string, key: string, spot: string, file: string, name: string) => ({
    key: logger,
    name,
    probes: [
      { key, accuracyTempC: 0.3, accuracyRhPct: 2, placements: [{ spot, from }], file: `readings/${file}.csv.gz` },
    ],
  })
  return {
    format: 'underjoist house 1',
    key: 'demo-fernhollow',
    name: '14 Fernhollow Lane (invented)',
    invented: true,
    place: 'Marrow Creek (invented), humid southeast',
    timeZone: 'America/New_York',
    latitude: 34.6,
    elevationM: 70,
    safety: {
      floodZone: 'no',
      combustionAppliances: 'no',
      radonTest: 'yes',
      radonPciL: 1.4,
      utilityLocates: 'yes',
      structuralSigns: 'no',
      entryHazard: 'no',
      note: 'Radon test in the living room, February 2025, 1.4 pCi/L; to be repeated now that the vents are closed.',
    },
    facts: {
      roofAreaM2: 185,
      downspouts: 'end at the wall',
      floorInsulated: true,
      targetRhPct: 65,
      gradeAtWall: 'falls toward',
      foundationWall: 'hollow concrete block',
      yearBuilt: 1987,
      note: 'Grade falls toward the wall on the north side. All four downspouts ended at the wall until July 2025.',
    },
    spaces: [
      {
        key: 'crawl',
        name: 'Crawl space',
        role: 'crawl space',
        kind: 'vented',
        floorAreaM2: 150,
        heightM: 0.95,
        perimeterM: 51,
        ventCount: 9,
        ventState: 'open',
        groundCoverSharePct: 95,
        spots: [
          { key: 'low-corner', name: 'Northwest low corner, 8 in over the cover', heightM: 0.2, x: 1.2, y: 10.6 },
          { key: 'near-vent', name: 'South side, 4 ft from a vent', heightM: 0.6, x: 7.4, y: 1.3 },
          { key: 'mid-joist', name: 'Center, at the joist, with wood pins', heightM: 0.85, x: 6.7, y: 5.8 },
          { key: 'far-corner', name: 'Southeast corner, mid height', heightM: 0.5, x: 12.1, y: 1.4 },
        ],
      },
      {
        key: 'outdoor',
        name: 'Outdoors',
        role: 'outdoor',
        spots: [{ key: 'north-side', name: 'North side, shielded, 5 ft up', heightM: 1.5 }],
      },
      {
        key: 'living',
        name: 'Living space',
        role: 'living',
        spots: [{ key: 'hall', name: 'Hall, main floor', heightM: 1.4 }],
      },
    ],
    loggers: [
      probe('box-1', 'air', 'crawl/low-corner', 'low-corner', 'Box 1'),
      probe('box-2', 'air', 'crawl/near-vent', 'near-vent', 'Box 2'),
      probe('box-3', 'air', 'crawl/mid-joist', 'mid-joist', 'Box 3, with wood pins'),
      probe('box-4', 'air', 'crawl/far-corner', 'far-corner', 'Box 4'),
      probe('box-5', 'air', 'outdoor/north-side', 'outdoor', 'Box 5'),
      probe('box-6', 'air', 'living/hall', 'living', 'Box 6'),
    ],
    stations: [
      {
        key: 'rain-gauge',
        name: 'Rain gauge in the yard',
        kind: 'file',
        quantities: ['rainMm'],
        file: 'readings/rain.csv.gz',
      },
    ],
    corrections: [
      {
        probe: 'box-4/air',
        quantity: 'rhPct',
        offset: -2.5,
        from,
        why: 'Read 2.5 % high against the other boxes, all in one box for 24 hours before placing.',
      },
    ],
    works: [
      {
        key: 'downspout-drain',
        kind: 'downspout drain',
        from: '2025-07-07',
        note: 'Four downspouts led to a solid pipe, daylight at the street side slope.',
        details: { materials: ['4 in solid pipe', 'clean-outs', 'pop-up outlet'] },
      },
      {
        key: 'yard-drain',
        kind: 'yard drain',
        from: '2025-07-09',
        note: 'Swale and two catch basins along the north wall, separate pipe.',
        details: { materials: ['catch basins', '4 in solid pipe', 'swale'] },
      },
      {
        key: 'vent-lids',
        kind: 'vents sealed',
        from: '2025-09-29',
        note: 'Snap-on lids over all nine vents, put on by the owner.',
        details: { materials: ['snap-on lids'] },
      },
      {
        key: 'vents-sealed',
        kind: 'vents sealed',
        from: '2026-05-18',
        note: 'Lids taken off; vents closed with cut foam board and sealant, access door weatherstripped.',
        details: { materials: ['foam board', 'sealant', 'weatherstrip'] },
      },
      {
        key: 'dehumidifier',
        kind: 'dehumidifier',
        from: '2026-08-11',
        note: 'Condensate led outdoors by pump.',
        details: { ratedLPerDay: 24, ratingBasis: '26.7 °C / 60 %', setPointRhPct: 65 },
      },
    ],
    events: [
      { kind: 'visit', from: '2025-05-01T09:30', to: '2025-05-01T11:00', note: 'Boxes placed.' },
      { kind: 'air conditioning season', from: '2025-05-20', to: '2025-09-24' },
      {
        kind: 'visit',
        from: '2025-08-23T09:00',
        to: '2025-08-23T10:15',
        note: 'Box 1 restarted.',
      },
      {
        kind: 'logger touched',
        from: '2026-01-22T10:30',
        to: '2026-01-22T11:15',
        note: 'New battery in box 4.',
      },
      {
        kind: 'logger touched',
        from: '2026-02-12T10:30',
        to: '2026-02-12T11:00',
        note: 'Box 2 memory full; emptied.',
      },
      { kind: 'air conditioning season', from: '2026-05-22' },
    ],
    surveys: surveys(run, seed),
    photos: [],
  }
}

/** Five marked places, each with what it reads above or below the simulated joists (points of moisture). */
const PLACES = [
  { spot: 'crawl/low-corner', place: 'Sill, northwest corner', wetter: 2.2 },
  { spot: 'crawl/near-vent', place: 'Joist by the south vent', wetter: -0.3 },
  { spot: 'crawl/mid-joist', place: 'Joist, center', wetter: 0 },
  { spot: 'crawl/far-corner', place: 'Sill, southeast corner', wetter: 0.6 },
  { place: 'Subfloor under the bath', wetter: 1.1 },
] as const

const VISITS = [
  {
    at: '2025-05-01T10:15',
    note: 'Damp soil beside the cover in the northwest corner, white salts on the block wall.',
  },
  { at: '2025-08-23T09:30', note: 'No water on the cover. The storm of August 8 (1.3 in) left no trace.' },
  { at: '2026-01-22T10:45', note: 'Floor dry.' },
  { at: '2026-05-18T08:15', note: 'Before the vents were sealed.' },
  { at: '2026-08-11T14:00', note: 'Before the dehumidifier was set up.' },
] as const

/** Readings of a pin meter set for pine: wood below 21 °C reads low by about 0.5 point for 5.5 K (common practice). */
function surveys(run: SimulatedHouse, seed: number) {
  const clock = wallClock('America/New_York')
  const random = randomStream(seed, 'pin meter')
  return VISITS.map(({ at, note }) => {
    const hour = Math.floor((clock.instantOf(at) - run.truth.startMs) / 3_600_000)
    const woodTempC = Math.round(2 * run.truth.tempC[hour]!) / 2
    const readings = PLACES.map(({ wetter, ...where }) => {
      const meter = run.truth.woodMcPct[hour]! + wetter + (0.5 * (woodTempC - 21)) / 5.5 + random.normal(0, 0.35)
      return { ...where, quantity: 'woodMcPct', value: Math.round(2 * meter) / 2, species: 'southern pine', woodTempC }
    })
    return { at, by: 'technician', note, readings }
  })
}
