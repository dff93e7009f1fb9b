/** A small invented house in a real database whose air was made with the balance itself: what was put in is known. */
import type { HouseRecord } from '../../server/moisture/input.ts'
import { rhPctFromVaporPressureInto } from '../../server/physics/airColumns.ts'
import { HOUR_MS } from '../../server/series/hourly.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import type { Database } from '../../server/store/open.ts'
import type { StoredHouse } from '../../server/store/storeHouse.ts'
import { measured, PLAIN_STRETCH, plainRecord } from './plainRecord.ts'
import { storeTestHouse, TEST_HOUSE } from './studiedHouse.ts'

const DAYS = 180
const WORK_DAY = 80

/** Spring to autumn; a ground cover on day 80 takes most of the evaporation away. */
export const BALANCE_HOUSE: HouseTree = {
  ...TEST_HOUSE,
  key: 'balance-house',
  elevationM: 0,
  facts: { downspouts: 'some led away', floorInsulated: true },
  spaces: TEST_HOUSE.spaces.map((space) =>
    space.key === 'crawl'
      ? {
          ...space,
          floorAreaM2: 130,
          heightM: 1,
          perimeterM: 48,
          ventCount: 8,
          ventState: 'open' as const,
          groundCoverSharePct: 20,
        }
      : space,
  ),
  works: [{ key: 'cover', kind: 'ground cover', from: '2024-06-20', details: { coverSharePct: 95 } }],
}

/** @param days how much of the record is stored */
export async function storeBalanceHouse(
  db: Database,
  tree: HouseTree = BALANCE_HOUSE,
  days = DAYS,
): Promise<StoredHouse> {
  const workHour = WORK_DAY * 24
  const record = measured(plainRecord(DAYS), [
    { ...PLAIN_STRETCH, fromHour: 0, toHour: workHour },
    { ...PLAIN_STRETCH, ground: 1.5e-4, wetGround: 1e-4, fromHour: workHour, toHour: DAYS * 24 },
  ])
  const [joist, corner] = record.spots as [HouseRecord['spots'][0], HouseRecord['spots'][0]]
  const hours = days * 24
  const at = Float64Array.from({ length: hours }, (_, h) => record.startAt + h * HOUR_MS)
  const air = (tempC: Float64Array, vaporPressurePa: Float64Array) => ({
    at,
    tempC: tempC.slice(0, hours),
    rhPct: rhPctFromVaporPressureInto(new Float64Array(DAYS * 24), tempC, vaporPressurePa)
      .slice(0, hours)
      .map((rh) => Math.min(100, rh)),
  })
  const rain = record.rain as Extract<HouseRecord['rain'], { step: 'hourly' }>
  return storeTestHouse(db, tree, {
    'l1/air': air(corner.tempC, corner.vaporPressurePa),
    'l2/air': air(joist.tempC, joist.vaporPressurePa),
    'lo/air': { ...air(record.outdoor!.tempC, record.outdoor!.vaporPressurePa), rainMm: rain.rainMm.slice(0, hours) },
  })
}
