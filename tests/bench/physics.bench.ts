/**
 * Array forms of moist air against psychrolib, which solves each value with its own iteration.
 * Floors: dew point at least 5 times as fast per value, the others at least 2 times; exits 1 when one is missed.
 * The order alternates; the ratio is the median of the rounds' ratios, since both halves of a round share the machine's load. Speed only: accuracy is the tests' business.
 */
import psychrolib from 'psychrolib'
import { vaporPressurePa } from '../../server/physics/air.ts'
import * as columns from '../../server/physics/airColumns.ts'
import { seeded } from '../support/seeded.ts'

const ROWS = 50_000 // about six years of hours
const ROUNDS = 15
/** Cheap functions repeat within a round until the clock has something to measure. */
const ROUND_NS = 10e6
const PRESSURE_PA = 100_000

psychrolib.SetUnitSystem(psychrolib.SI)
const random = seeded(1)
const tempC = Float64Array.from({ length: ROWS }, () => 1 + 34 * random())
const rhPct = Float64Array.from({ length: ROWS }, () => 40 + 59 * random())
const vaporPa = Float64Array.from(tempC, (t, i) => vaporPressurePa(t, rhPct[i]!))
const out = new Float64Array(ROWS)

interface Case {
  name: string
  floor: number
  rows: number
  ours: () => void
  theirs: (row: number) => number
}

const CASES: readonly Case[] = [
  {
    name: 'dew point from vapor pressure',
    floor: 5,
    rows: 10_000,
    ours: () => columns.dewPointCInto(out, vaporPa),
    theirs: (i) => psychrolib.GetTDewPointFromVapPres(tempC[i]!, vaporPa[i]!),
  },
  {
    name: 'dew point from temperature and RH',
    floor: 5,
    rows: 10_000,
    ours: () => columns.dewPointFromRhCInto(out, tempC, rhPct),
    theirs: (i) => psychrolib.GetTDewPointFromRelHum(tempC[i]!, rhPct[i]! / 100),
  },
  {
    name: 'saturation pressure',
    floor: 2,
    rows: ROWS,
    ours: () => columns.saturationVaporPressurePaInto(out, tempC),
    theirs: (i) => psychrolib.GetSatVapPres(tempC[i]!),
  },
  {
    name: 'vapor pressure',
    floor: 2,
    rows: ROWS,
    ours: () => columns.vaporPressurePaInto(out, tempC, rhPct),
    theirs: (i) => psychrolib.GetVapPresFromRelHum(tempC[i]!, rhPct[i]! / 100),
  },
  {
    name: 'RH from vapor pressure',
    floor: 2,
    rows: ROWS,
    ours: () => columns.rhPctFromVaporPressureInto(out, tempC, vaporPa),
    theirs: (i) => psychrolib.GetRelHumFromVapPres(tempC[i]!, vaporPa[i]!),
  },
  {
    name: 'humidity ratio',
    floor: 2,
    rows: ROWS,
    ours: () => columns.humidityRatioInto(out, vaporPa, PRESSURE_PA),
    theirs: (i) => psychrolib.GetHumRatioFromVapPres(vaporPa[i]!, PRESSURE_PA),
  },
  {
    name: 'wet bulb',
    floor: 2,
    rows: 5_000,
    ours: () => columns.wetBulbCInto(out, tempC, rhPct, PRESSURE_PA),
    theirs: (i) => psychrolib.GetTWetBulbFromRelHum(tempC[i]!, rhPct[i]! / 100, PRESSURE_PA),
  },
]

/** Nanoseconds a row, over as many repeats as fill a round. */
function timed(rows: number, work: () => void): number {
  const start = process.hrtime.bigint()
  let repeats = 0
  let spent = 0
  while (spent < ROUND_NS) {
    work()
    repeats++
    spent = Number(process.hrtime.bigint() - start)
  }
  return spent / (repeats * rows)
}

const median = (values: number[]) => [...values].sort((a, b) => a - b)[values.length >> 1]!

const sink = new Float64Array(ROWS) // results are kept, so that the compiler cannot skip the work
let missed = 0
for (const { name, floor, rows, ours, theirs } of CASES) {
  const loop = () => {
    for (let i = 0; i < rows; i++) sink[i] = theirs(i)
  }
  const [our, their]: [number[], number[]] = [[], []]
  ours()
  loop() // warm up
  for (let round = 0; round < ROUNDS; round++) {
    if (round % 2 === 0) our.push(timed(ROWS, ours))
    their.push(timed(rows, loop))
    if (round % 2 === 1) our.push(timed(ROWS, ours))
  }
  const ratio = median(their.map((ns, round) => ns / our[round]!))
  const verdict = ratio >= floor ? 'ok' : 'TOO SLOW'
  if (ratio < floor) missed++
  const figures = `${median(our).toFixed(1)} ns a row, psychrolib ${median(their).toFixed(1)} ns`
  console.log(`${name.padEnd(36)} ${figures.padEnd(42)} ${ratio.toFixed(1)} times as fast (floor ${floor}) ${verdict}`)
}
process.exit(missed > 0 ? 1 : 0)
