/** The hours of a spot over time, whichever probes hung there. */
import type { Database } from './open.ts'
import { statement } from './unitsOfWork.ts'

const HOUR_MS = 3_600_000

const COLUMNS = {
  rhPct: 'rh_pct',
  tempC: 'temp_c',
  woodMcPct: 'wood_mc_pct',
  wetPct: '100.0 * water_present_share',
} as const
export type SpotQuantity = keyof typeof COLUMNS

/**
 * Means of a spot over steps of whole hours, of whichever probes hung there; steps without any are left out.
 * @param leftOutBits hours that carry one of these marks do not count
 */
export async function spotHistory(
  db: Database,
  {
    houseId,
    spot,
    quantity,
    from,
    to,
    stepMs,
    leftOutBits,
  }: {
    houseId: number
    spot: string
    quantity: SpotQuantity
    from: number
    to: number
    stepMs: number
    leftOutBits: number
  },
): Promise<{ at: number; value: number }[]> {
  return statement(
    db,
    `select cast(h.at as integer) / cast(:step as integer) * cast(:step as integer) as at, avg(${COLUMNS[quantity]}) as value
     from spots s join spaces sp on sp.id = s.space_id join placements p on p.spot_id = s.id
     join hourly h on h.probe_id = p.probe_id and h.at >= p.from_at and h.at + ${HOUR_MS} <= coalesce(p.to_at, :to)
     where sp.house_id = :house and sp.key || '/' || s.key = :spot and h.at >= :from and h.at < :to and h.marks & cast(:leftOutBits as integer) = 0
     group by 1 having value is not null order by 1`,
  ).all({ step: stepMs, house: houseId, spot, from, to, leftOutBits }) as { at: number; value: number }[]
}
