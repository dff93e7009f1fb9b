import type { HouseSpec, ProbeSpec } from './generator/spec.ts'

/** The seed of everything invented about the demo house. */
export const DEMO_SEED = 3

/**
 * The demo house: a good ground cover from the start, roof and yard water at the wall, open vents. In order: downspout
 * and yard drains; snap-on lids over the vents, which leak so much that nothing changes; vents sealed properly; a
 * dehumidifier three weeks before the end, too recent to tell.
 */
export const DEMO_SPEC: HouseSpec = {
  key: 'demo',
  timeZone: 'America/New_York',
  from: '2025-05-01',
  to: '2026-09-01',
  spinUpDays: 120,
  climate: {
    latitude: 34.6,
    meanTempC: 16.6,
    tempAmplitudeC: 9.6,
    meanDewPointC: 11.2,
    dewPointAmplitudeC: 9.8,
    rainMmPerYear: 1250,
    meanWindMS: 2.6,
  },
  geometry: { floorAreaM2: 148, heightM: 0.95, perimeterM: 51 },
  airflow: { ventCount: 9, ventFreeAreaM2: 0.027, ventOpenShare: 1, leakAreaM2: 0.022, windShelter: 0.55 },
  ground: { coverShare: 0.97, bareConductance: 5e-9, coverConductance: 1.2e-10, conductivityWMK: 1.3 },
  water: {
    roofAreaM2: 186,
    roofShareToWall: 0.85,
    yardAreaM2: 160,
    yardShareToWall: 0.5,
    daysToEnter: 0.5,
    daysToSink: 1.8,
    wetAreaM2: 105,
  },
  livingSpace: {
    heatingC: 20.5,
    coolingC: 24,
    downFlowCoolingM3H: 80,
    downFlowM3H: 15,
    upFlowM3HPerRootK: 9,
    floorUWM2K: 0.9,
    ductHeatingW: 350,
    ductCoolingW: 250,
  },
  leaks: [],
  works: [
    { key: 'downspout-drain', kind: 'downspout drain', from: '2025-07-07T08:00', roofShareLeft: 0.01 },
    { key: 'yard-drain', kind: 'yard drain', from: '2025-07-09T08:00', yardShareLeft: 0.01 },
    { key: 'vent-lids', kind: 'vents sealed', from: '2025-09-29T13:00', ventOpenShare: 0.9 },
    { key: 'vents-sealed', kind: 'vents sealed', from: '2026-05-18T09:00', ventOpenShare: 0.02, leakAreaM2: 0.01 },
    {
      key: 'dehumidifier',
      kind: 'dehumidifier',
      from: '2026-08-11T15:00',
      ratedLPerDay: 24,
      setPointRhPct: 67,
      hysteresisRhPct: 4,
    },
  ],
  spots: [
    {
      key: 'low-corner',
      outdoorShare: -0.06,
      floorShare: -0.06,
      groundShare: 0.22,
      wetPaPerLH: 280,
      leakPaPerLH: 40,
      swingC: 0.12,
      swingPa: 12,
    },
    {
      key: 'near-vent',
      outdoorShare: 0.24,
      floorShare: 0,
      groundShare: 0,
      wetPaPerLH: -70,
      leakPaPerLH: -10,
      swingC: 0.2,
      swingPa: 14,
    },
    {
      key: 'mid-joist',
      outdoorShare: -0.03,
      floorShare: 0.3,
      groundShare: -0.1,
      wetPaPerLH: -50,
      leakPaPerLH: -10,
      swingC: 0.1,
      swingPa: 9,
    },
    {
      key: 'far-corner',
      outdoorShare: -0.12,
      floorShare: -0.05,
      groundShare: 0.06,
      wetPaPerLH: -60,
      leakPaPerLH: -10,
      swingC: 0.12,
      swingPa: 10,
    },
  ],
  probes: [
    // The box in the low corner stuck for four days in the first August.
    {
      ...probe('low-corner', { offsetC: 0.1, offsetRhPct: 0.6, stepC: 0.01, lagMinutes: 14, creepRhPct: 1.2 }),
      faults: [{ kind: 'stuck', from: '2025-08-19T14:00', to: '2025-08-23T09:30' }],
    },
    // Read out late: its memory was full for nine days.
    {
      ...probe('near-vent', { offsetC: -0.1, offsetRhPct: -0.8, stepC: 0.1, lagMinutes: 9, creepRhPct: 0.6 }),
      faults: [{ kind: 'gap', from: '2026-02-03T05:15', to: '2026-02-12T10:45' }],
    },
    probe('mid-joist', { offsetC: 0.05, offsetRhPct: 0.3, stepC: 0.1, lagMinutes: 12, creepRhPct: 0.4 }),
    // Reads high by 2.5 %, found side by side with the others; its first battery died in January.
    {
      ...probe('far-corner', { offsetC: 0, offsetRhPct: 2.5, stepC: 0.1, lagMinutes: 12, creepRhPct: 0.5 }),
      batteryV: { fresh: 3.05, voltsPerDay: 0.0011 },
      faults: [{ kind: 'dying battery', from: '2026-01-02T00:00', to: '2026-01-22T11:00' }],
    },
    {
      ...probe('outdoor', { offsetC: 0.1, offsetRhPct: -0.5, stepC: 0.05, lagMinutes: 7, creepRhPct: 0.8 }),
      at: 'outdoor',
    },
    {
      ...probe('living', { offsetC: 0.15, offsetRhPct: 0.4, stepC: 0.1, lagMinutes: 10, creepRhPct: 0 }),
      at: 'living',
      intervalMinutes: 60,
    },
  ],
}

function probe(
  spot: string,
  quality: Pick<ProbeSpec, 'offsetC' | 'offsetRhPct' | 'stepC' | 'lagMinutes' | 'creepRhPct'>,
): ProbeSpec {
  return {
    key: spot,
    at: { spot },
    intervalMinutes: 15,
    noiseC: 0.04,
    noiseRhPct: 0.25,
    stepRhPct: 0.1,
    faults: [],
    ...quality,
  }
}
