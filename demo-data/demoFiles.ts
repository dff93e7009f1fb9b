import { DEMO_SEED, DEMO_SPEC } from './demoHouse.ts'
import { demoHouseFile } from './demoHouseFile.ts'
import {
  type CsvLayout,
  isoWithOffset,
  quotedDateAndTime,
  rainInches,
  semicolonDecimalComma,
  tabSeparated,
  usTwelveHourFahrenheit,
  utcWithBattery,
} from './generator/csvLayouts.ts'
import { randomStream } from './generator/random.ts'
import { type SimulatedHouse, simulateHouse } from './generator/simulateHouse.ts'
import { type TrueChange, trueDehumidifierNeed, trueEffects, trueSources } from './generator/truth.ts'
import { wallClock } from './generator/wallTime.ts'

const HOUR_MS = 3_600_000
const LAYOUTS: Record<string, CsvLayout> = {
  'low-corner': usTwelveHourFahrenheit,
  'near-vent': isoWithOffset,
  'mid-joist': semicolonDecimalComma,
  'far-corner': utcWithBattery,
  outdoor: quotedDateAndTime,
  living: tabSeparated,
}

/** Every file of the demo as text, by path below demo-data/; the caller compresses those that end in `.gz`. */
export function demoFiles(): Record<string, string> {
  const run = simulateHouse(DEMO_SPEC, DEMO_SEED)
  const clock = wallClock(DEMO_SPEC.timeZone)
  const files: Record<string, string> = { 'house/house.json': json(demoHouseFile(run, DEMO_SEED)) }
  for (const [key, layout] of Object.entries(LAYOUTS)) {
    const readings = run.readings[key]!
    const pins = key === 'mid-joist' ? woodPins(run, readings.at) : undefined
    files[`house/readings/${key}.csv.gz`] = layout(readings, clock, pins)
  }
  const firstHour = Math.round((run.fromMs - run.weather.startMs) / HOUR_MS)
  const rainMm = run.weather.rainMm.subarray(firstHour, run.truth.hours)
  files['house/readings/rain.csv.gz'] = rainInches(rainMm, run.fromMs, clock)
  files['truth.json'] = shortListsInLine(json(demoTruth(run)))
  return files
}

/** Two pins in the joist: the simulated wood at pin depth with the noise of such pins. */
function woodPins(run: SimulatedHouse, at: Float64Array): Float64Array {
  const random = randomStream(DEMO_SEED, 'wood pins')
  return at.map((instant) => {
    const hour = Math.floor((instant - run.truth.startMs) / HOUR_MS)
    return run.truth.woodMcPct[hour]! - 0.2 + random.normal(0, 0.12)
  })
}

/** What really happened, for scoring; nothing that reads the house folder may read it. */
function demoTruth(run: SimulatedHouse) {
  const held = simulateHouse(DEMO_SPEC, DEMO_SEED, { holdRhPct: 55, noReadings: true, withoutWorks: ['dehumidifier'] })
  const effects = trueEffects(DEMO_SPEC, DEMO_SEED, run).map((effect) => ({
    ...effect,
    days: round(effect.days, 2),
    change: roundChange(effect.change),
    spots: Object.fromEntries(Object.entries(effect.spots).map(([spot, change]) => [spot, roundChange(change)])),
  }))
  const sources = (of: SimulatedHouse) =>
    trueSources(DEMO_SPEC, of).map((period) => ({
      from: period.from,
      to: period.to,
      entriesKgPerDay: roundAll(period.entriesKgPerDay, 2),
      exitsKgPerDay: roundAll(period.exitsKgPerDay, 2),
      entryShares: roundAll(period.entryShares, 3),
    }))
  return {
    invented: true,
    about:
      'Truth of the invented demo house: the same house run with and without each work in the same weather. ' +
      'change = mean over [from, to) with the works minus without them, for the mean air of the crawl space and each spot.',
    seed: DEMO_SEED,
    effects,
    sources: sources(run),
    sourcesToHold55: sources(held),
    dehumidifierNeedLPerDay: {
      meaning: 'removed on the 95th-percentile day of the last year with all other works done from the start',
      toHold55Pct: round(trueDehumidifierNeed(DEMO_SPEC, DEMO_SEED, 55), 1),
    },
    dehumidifierReallySwitchesAtRhPct: 67,
    flaws: Object.fromEntries(DEMO_SPEC.probes.filter((p) => p.faults.length > 0).map((p) => [p.key, p.faults])),
  }
}

const round = (value: number, digits: number) => Number(value.toFixed(digits))
const roundAll = <K extends string>(values: Record<K, number>, digits: number) =>
  Object.fromEntries(Object.entries<number>(values).map(([key, value]) => [key, round(value, digits)]))
const roundChange = (change: TrueChange) => ({
  humidityRatioGKg: round(change.humidityRatioGKg, 3),
  vaporPressurePa: round(change.vaporPressurePa, 1),
  rhPct: round(change.rhPct, 2),
  tempC: round(change.tempC, 3),
})
const json = (value: unknown) => `${JSON.stringify(value, null, 2)}\n`
/** Lists of plain words on one line, as the formatter writes them: else a formatted tree would differ from a made one. */
const shortListsInLine = (text: string) =>
  text.replace(/\[\s*("[^"]*"(?:,\s*"[^"]*")*)\s*\]/g, (_, words: string) => `[${words.replace(/\s+/g, ' ')}]`)
