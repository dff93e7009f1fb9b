/**
 * Real houses in which nothing was done (two vented attics over 19 months, a wall cavity over five): works invented at
 * dates six weeks apart, of every kind in turn, must not be credited.
 */
import { expect, test } from 'vitest'
import { findEffects } from '../../../server/moisture/effect.ts'
import { understandHouse } from '../../../server/moisture/house.ts'
import { DAY_HOURS, HOUR_MS, type HouseRecord, WORK_KINDS, type Work } from '../../../server/moisture/input.ts'
import { realHouse } from '../../moisture/made.ts'

const WEEK_HOURS = 7 * DAY_HOURS
const WEEKS_APART = 6
const HOUSES = [
  { file: 'attic-r2-hourly.csv.gz', spots: ['air', 'eave'], fromRow: 0 },
  { file: 'attic-r5-hourly.csv.gz', spots: ['air', 'underlay'], fromRow: 0 },
  // The loggers lay side by side in a room for the first day.
  { file: 'wall-r1-hourly.csv.gz', spots: ['cavity'], fromRow: 48 },
]
const UNMEASURED: HouseRecord['geometry'] = {
  floorAreaM2: 100,
  heightM: 1,
  perimeterM: null,
  volumeM3: null,
  coverShare: null,
  ventCount: null,
  ventState: 'open',
  downspouts: null,
  floorInsulated: null,
}

function withInventedWorks({ file, spots, fromRow }: (typeof HOUSES)[number], firstKind: number): HouseRecord {
  const { startAt, hours, outdoor, rain, ...observed } = realHouse(file, spots, fromRow)
  const works: Work[] = []
  for (let week = WEEKS_APART; week < hours / WEEK_HOURS - 4; week += WEEKS_APART) {
    const kind = WORK_KINDS[(works.length + firstKind) % WORK_KINDS.length]!
    works.push({ key: `${kind} in week ${week}`, kind, from: startAt + week * WEEK_HOURS * HOUR_MS })
  }
  return {
    startAt,
    hours,
    spots: observed.spots,
    outdoor,
    station: null,
    rain,
    houseAir: null,
    condensateL: null,
    powerW: null,
    geometry: UNMEASURED,
    machineAtStart: null,
    latitude: 61,
    elevationM: 50,
    targetRhPct: 55,
    works,
  }
}

test('at most two of all invented works in real houses are credited', () => {
  const claims: string[] = []
  let works = 0
  for (const house of HOUSES) {
    for (const firstKind of [0, 4, 8]) {
      const understood = understandHouse(withInventedWorks(house, firstKind))
      if (!('model' in understood)) throw new Error(understood.cannotTell)
      for (const { verdict, workKeys } of findEffects(understood.model)) {
        works++
        if (verdict === 'drier' || verdict === 'wetter') claims.push(`${house.file}: ${workKeys} ${verdict}`)
      }
    }
  }
  expect(works).toBeGreaterThan(70)
  expect(claims.length, claims.join('; ')).toBeLessThanOrEqual(2)
})
