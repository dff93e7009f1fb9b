/** Wood moisture and mold index of each spot day by day, over the whole record: estimated in a worker and kept. */
import { thresholds } from '../../advice/thresholds.ts'
import { runInWorker } from '../../jobs/inWorker.ts'
import type { WorkerContext } from '../../jobs/workerMessages.ts'
import { meanOver } from '../../moisture/observed.ts'
import { moldBand, woodMoisture } from '../../moisture/risk.ts'
import { readFindings, replaceFinding } from '../../store/findings.ts'
import { findHouse } from '../../store/houses.ts'
import type { Database } from '../../store/open.ts'
import { refreshHourly } from '../../store/refreshHourly.ts'
import { readSettings } from '../../store/settings.ts'
import { fingerprintHouse } from '../fingerprint.ts'
import { readHouseRecord } from '../houseRecord.ts'
import { observedSpaces } from '../observedHouse.ts'

type Column = (number | null)[]
interface Band {
  low: Column
  mid: Column
  high: Column
}

export interface RiskSeries {
  /** Start of each local day, and the end of the last. */
  at: number[]
  to: number
  spots: {
    spot: string
    /** Pins log the wood here. */
    pins: boolean
    wood: Band
    /** Low: a surface as warm as the air; high: one that is colder. */
    mold: Band
  }[]
}

const QUESTION = 'risk by day'

/** @returns undefined when there is no such house. Needs the writing connection. */
export async function riskSeriesOf(db: Database, houseKey: string, now: number): Promise<RiskSeries | undefined> {
  const house = await fingerprintHouse(db, houseKey)
  if (!house) return undefined
  const { hours } = await refreshHourly(db, house.probeIds)
  const { fingerprint, houseId } = hours > 0 ? ((await fingerprintHouse(db, houseKey)) ?? house) : house
  const [row] = await readFindings(db, houseId, QUESTION)
  if (row?.fingerprint === fingerprint) return row.body as RiskSeries
  const made = await runInWorker<RiskSeries>(import.meta.url, { houseKey }, { databasePath: db.path })
  await replaceFinding(db, houseId, QUESTION, { fingerprint, computedAt: now, body: made })
  return made
}

/** What the worker runs. */
export async function run({ houseKey }: { houseKey: string }, { db }: WorkerContext): Promise<RiskSeries> {
  if (db === null) throw new Error('The risk of a house needs the path of the database.')
  const [house, row] = [await readHouseRecord(db, houseKey), await findHouse(db, houseKey)]
  if (house === undefined || row === undefined) throw new Error(`The house "${houseKey}" has gone meanwhile.`)
  const settings = await readSettings(db, row)
  const held = thresholds(settings.firm, settings.house)
  const { days, grid } = house
  const daily = (values: Float64Array): Column =>
    days.map(({ first, end }) => {
      const mean = meanOver(values, first, end)
      return Number.isFinite(mean) ? Math.round(mean * 100) / 100 : null
    })
  const spots = observedSpaces(house).flatMap(({ observed, pins }) =>
    observed.spots.map((spot) => {
      const wood = woodMoisture(spot, grid.from, pins[spot.key] ?? [], held)
      const mold = moldBand(spot, held)
      const low = daily(mold.low)
      return {
        spot: spot.key,
        pins: wood.measuredHours > 0,
        wood: { low: daily(wood.lowPct), mid: daily(wood.midPct), high: daily(wood.highPct) },
        mold: { low, mid: low, high: daily(mold.high) },
      }
    }),
  )
  return { at: days.map(({ from }) => from), to: days.at(-1)?.to ?? grid.to, spots }
}
