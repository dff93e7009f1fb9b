/**
 * `npm run bench -- leaks`: a leak of 0, 3, 5, 8 and 12 L/day put into generated houses that are not held, held by a
 * machine, held with its power metered, and held with its water metered: how often it is found, how far off its day and
 * its size are, and how often one is found that is not there.
 * Options: --houses=20 (of each of the two kinds), --first=5000 (first seed), --modes=a,b, --each (a line a house).
 * It does not show how leaks of real houses behave: these evaporate at one rate whatever the weather.
 */
import { randomStream } from '../../demo-data/generator/random.ts'
import { randomHouseSpec, type WorkKind } from '../../demo-data/generator/randomHouse.ts'
import { type SimulatedHouse, simulateHouse } from '../../demo-data/generator/simulateHouse.ts'
import type { HouseSpec } from '../../demo-data/generator/spec.ts'
import { wallClock } from '../../demo-data/generator/wallTime.ts'
import { type Departure, findDepartures } from '../../server/moisture/departure.ts'
import { understandHouse } from '../../server/moisture/house.ts'
import { HOUR_MS, type HouseRecord } from '../../server/moisture/input.ts'
import { median } from '../../server/moisture/numbers.ts'
import { recordOf } from '../support/inventedHouse.ts'

const option = (name: string, otherwise: string) =>
  process.argv.find((a) => a.startsWith(`--${name}=`))?.split('=')[1] ?? otherwise
const houses = Number(option('houses', '20'))
const first = Number(option('first', '5000'))
const everyHouse = process.argv.includes('--each')

const DAY_MS = 86_400_000
const LEAKS_L_PER_DAY = [0, 3, 5, 8, 12]
const FREE_KINDS: readonly WorkKind[] = ['nothing', 'ground_cover', 'drains', 'vents_sealed']
const MODES = ['not held', 'held', 'held, power', 'held, water'] as const
type Mode = (typeof MODES)[number]
const modes = MODES.filter((mode) => option('modes', MODES.join(';')).split(';').includes(mode))
/** A meter of water is a few per cent off, one of power reads to the watt (judgement). */
const WATER_METER_SHARE = 0.05
/** A leak found within this of its day is that leak. */
const SAME_LEAK_DAYS = 21

interface Row {
  mode: Mode
  trueL: number
  /** Of the leak found; null when none is. */
  foundL: number | null
  daysOff: number
  falseAlarms: number
  years: number
  seconds: number
}

function houseWith(seed: number, held: boolean, litersPerDay: number): { spec: HouseSpec; onsetAt: number } {
  const spec = randomHouseSpec(seed, held ? 'dehumidifier' : FREE_KINDS[seed % FREE_KINDS.length]!)
  const clock = wallClock(spec.timeZone)
  const [workAt, endAt] = [clock.instantOf(spec.works[0]!.from), clock.instantOf(spec.to)]
  // Late enough for the new machine to have dried the framing, early enough to be seen.
  const share = randomStream(seed, 'leak').between(0.4, 0.65)
  const onset = new Date(workAt + share * (endAt - workAt)).toISOString().slice(0, 10)
  spec.leaks = litersPerDay > 0 ? [{ litersPerDay, from: onset }] : []
  return { spec, onsetAt: clock.instantOf(onset) }
}

function recordFor(mode: Mode, spec: HouseSpec, run: SimulatedHouse, seed: number): HouseRecord {
  const record = recordOf(spec, run, seed)
  const from = Math.round((record.startAt - run.truth.startMs) / HOUR_MS)
  const cut = (column: Float64Array) => column.slice(from, from + record.hours)
  if (mode === 'held, power') return { ...record, powerW: cut(run.truth.energyWh) }
  if (mode !== 'held, water') return record
  const random = randomStream(seed, 'water meter')
  const gain = 1 + random.normal(0, WATER_METER_SHARE)
  return { ...record, condensateL: cut(run.truth.pathKg.dehumidifier).map((kg) => Math.abs(kg) * gain) }
}

function examine(mode: Mode, seed: number, trueL: number, made: ReturnType<typeof make>): Row {
  const record = recordFor(mode, made.spec, made.run, seed)
  const started = performance.now()
  const understood = understandHouse(record)
  if (!('model' in understood)) throw new Error(`${made.spec.key}: ${understood.cannotTell}`)
  const departures = findDepartures(understood.model, [])
  const seconds = (performance.now() - started) / 1000
  const { leak } = understood.model
  const daysOff = leak === null ? Number.NaN : (record.startAt + leak.fromHour * HOUR_MS - made.onsetAt) / DAY_MS
  const isIt = leak !== null && trueL > 0 && Math.abs(daysOff) <= SAME_LEAK_DAYS
  const row: Row = {
    mode,
    trueL,
    foundL: isIt ? leak.kgPerH * 24 : null,
    daysOff,
    falseAlarms: trueL === 0 ? alarmsOf(departures) : 0,
    years: record.hours / 8760,
    seconds,
  }
  if (everyHouse) {
    const told = leak
      ? `${(24 * leak.kgPerH).toFixed(1)} L, ${daysOff.toFixed(0)} days off, gain ${leak.gain.toFixed(0)}`
      : '-'
    const others = departures.map((d) => `${d.kind} ${d.size} (${d.support.toFixed(0)})`).join('; ')
    console.log(`${made.spec.key} ${mode} ${trueL} L: ${told} | ${others} ${seconds.toFixed(1)} s`)
  }
  return row
}

/** Kinds ranked for one onset are one alarm. */
function alarmsOf(departures: readonly Departure[]): number {
  const at = departures.map((d) => d.at).sort((a, b) => a - b)
  return at.filter((t, i) => i === 0 || t - at[i - 1]! > 14 * DAY_MS).length
}

function make(seed: number, held: boolean, litersPerDay: number) {
  const { spec, onsetAt } = houseWith(seed, held, litersPerDay)
  return { spec, onsetAt, run: simulateHouse(spec, seed) }
}

const rows: Row[] = []
for (const held of [false, true]) {
  const ofKind = modes.filter((mode) => (mode !== 'not held') === held)
  if (ofKind.length === 0) continue
  for (let seed = first; seed < first + houses; seed++) {
    for (const liters of LEAKS_L_PER_DAY) {
      const made = make(seed, held, liters)
      for (const mode of ofKind) rows.push(examine(mode, seed, liters, made))
    }
  }
}

console.log('mode          L/day  found   days off  size factor   s')
for (const mode of modes) {
  for (const liters of LEAKS_L_PER_DAY.slice(1)) {
    const all = rows.filter((r) => r.mode === mode && r.trueL === liters)
    const found = all.filter((r) => r.foundL !== null)
    const factors = found.map((r) => Math.exp(Math.abs(Math.log(r.foundL! / r.trueL))))
    const cells = [
      mode.padEnd(13),
      String(liters).padStart(5),
      `${found.length}/${all.length}`.padStart(6),
      (found.length > 0 ? median(found.map((r) => Math.abs(r.daysOff))).toFixed(1) : '-').padStart(10),
      (found.length > 0 ? median(factors).toFixed(2) : '-').padStart(12),
      median(all.map((r) => r.seconds))
        .toFixed(1)
        .padStart(4),
    ]
    console.log(cells.join(' '))
  }
}
for (const mode of modes) {
  const dry = rows.filter((r) => r.mode === mode && r.trueL === 0)
  const alarms = dry.reduce((sum, r) => sum + r.falseAlarms, 0)
  const years = dry.reduce((sum, r) => sum + r.years, 0)
  /** 90 % interval of a count, by its square root. */
  const [fewest, most] = [Math.max(0, Math.sqrt(alarms) - 0.82) ** 2, (Math.sqrt(alarms) + 0.82) ** 2]
  console.log(
    `${mode.padEnd(13)} false alarms of any departure in houses without a leak: ${alarms} in ${years.toFixed(1)} house-years,` +
      ` ${(alarms / years).toFixed(2)} a year (90 % ${(fewest / years).toFixed(2)} to ${(most / years).toFixed(2)}, goal at most 0.5)`,
  )
}
