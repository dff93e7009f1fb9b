/** Which houses a thing belongs to, for whoever reaches some houses alone. */
import type { Database } from './open.ts'
import { statement } from './unitsOfWork.ts'

export interface Thing {
  kind: 'house' | 'logger' | 'probe' | 'station' | 'import' | 'photo' | 'check' | 'notice'
  /** As an address or a body names it: a key, a number, a code or a hash. */
  name: string
}

/** Keys of its houses, null among them for no house; undefined when there is no such thing. */
export type Reach = (thing: Thing) => Promise<(string | null)[] | undefined>

/**
 * A house by key or number; what readings it took at other houses goes with a probe, so each of them counts. What was
 * imported for no house is the contractor's.
 */
const HOUSES_OF = {
  house: `select key from houses where key = :name or cast(id as text) = :name`,
  logger: `select h.key from loggers l left join houses h on h.id = l.house_id where (l.key = :name or l.code = upper(:name))
    and not exists (select 1 from stations s join probes p on p.id = s.probe_id where p.logger_id = l.id)`,
  probe: `select h.key from probes p join loggers l on l.id = p.logger_id left join houses h on h.id = l.house_id
    where p.id = :name and not exists (select 1 from stations where probe_id = p.id)
    union select h.key from placements pl join spots s on s.id = pl.spot_id join spaces sp on sp.id = s.space_id
    join houses h on h.id = sp.house_id where pl.probe_id = :name`,
  station: `select h.key from stations s left join house_stations hs on hs.station_id = s.id
    left join houses h on h.id = hs.house_id where s.key = :name`,
  import: `select h.key from imports i join houses h on h.id = i.house_id where i.id = :name`,
  photo: `select h.key from photos ph join houses h on h.id = ph.house_id where ph.hash = :name`,
  check: `select distinct h.key from sensor_checks c, json_each(c.probes) p
    join loggers l on l.key = substr(p.value, 1, instr(p.value, '/') - 1)
    left join houses h on h.id = l.house_id where c.id = :name`,
  notice: `select h.key from notices n join houses h on h.id = n.house_id where n.id = :name`,
} as const satisfies Record<Thing['kind'], string>

export const createReach =
  (db: Database): Reach =>
  async (thing) =>
    housesOfThing(db, thing)

/** The same, for who is inside a transaction of its own. */
export function housesOfThing(db: Database, { kind, name }: Thing): (string | null)[] | undefined {
  const keys = statement(db, HOUSES_OF[kind]).pluck().all({ name }) as (string | null)[]
  return keys.length === 0 ? undefined : keys
}
