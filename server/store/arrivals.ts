/** How far the numbered messages of each logger have come, as it is kept and as the logger is told. */
import type { Group } from './groupedWrites.ts'
import type { Database } from './open.ts'
import { type Arrived, NONE_ARRIVED, withArrival } from './sequence.ts'
import { statement } from './unitsOfWork.ts'

/** What a logger is told of its numbered messages. */
export interface LoggerReceipt extends Pick<Arrived, 'through' | 'beyond'> {
  run: string
}

/** Where a message stands in the count of its logger. */
export interface Numbered {
  run: string
  number: number
  oldest: number | null
}

interface ArrivedRow {
  loggerId: number
  run: string
  arrived: Arrived
  at: number
  isNew: boolean
}

/** A backlog comes as many messages at once; how far they came is written once. */
const arrivals = (db: Database, group: Group): Map<string, ArrivedRow> =>
  group.shared(
    'sequences',
    () => new Map<string, ArrivedRow>(),
    (rows) => {
      for (const row of rows.values()) writeArrived(db, row)
    },
  )

/** Takes a message as here; its row is written at the end of the group. */
export function arrive(
  db: Database,
  group: Group,
  loggerId: number,
  at: number,
  { run, number, oldest, before }: Numbered & { before: Arrived },
): LoggerReceipt {
  const rows = arrivals(db, group)
  const key = `${loggerId} ${run}`
  const arrived = withArrival(before, number, oldest)
  const isNew = rows.get(key)?.isNew ?? before === NONE_ARRIVED
  rows.set(key, { loggerId, run, arrived, at, isNew })
  return { run, through: arrived.through, beyond: arrived.beyond }
}

export function readArrived(db: Database, group: Group, loggerId: number, run: string): Arrived {
  const inGroup = arrivals(db, group).get(`${loggerId} ${run}`)
  if (inGroup !== undefined) return inGroup.arrived
  const row = statement(db, 'select through, beyond, missed from sequences where logger_id = ? and run = ?').get(
    loggerId,
    run,
  ) as { through: number; beyond: string; missed: number } | undefined
  return row === undefined
    ? NONE_ARRIVED
    : { through: row.through, missed: row.missed, beyond: JSON.parse(row.beyond) as Arrived['beyond'] }
}

function writeArrived(db: Database, { loggerId, run, arrived, at, isNew }: ArrivedRow): void {
  const { through, beyond, missed } = arrived
  statement(
    db,
    `insert into sequences (logger_id, run, through, beyond, missed, heard_at) values (?, ?, ?, ?, ?, ?)
     on conflict (logger_id, run) do update set through = excluded.through, beyond = excluded.beyond,
     missed = excluded.missed, heard_at = excluded.heard_at`,
  ).run(loggerId, run, through, JSON.stringify(beyond), missed, at)
  if (isNew) forgetOldRuns(db, loggerId)
}

/** A logger that loses its memory at each start would leave a row for each. */
const KEPT_RUNS = 20

function forgetOldRuns(db: Database, loggerId: number): void {
  statement(
    db,
    `delete from sequences where logger_id = ? and run not in
     (select run from sequences where logger_id = ? order by heard_at desc, run limit ${KEPT_RUNS})`,
  ).run(loggerId, loggerId)
}

/** The receipt of every logger for the run that it was heard of last. */
export async function latestReceipts(db: Database): Promise<{ logger: string; receipt: LoggerReceipt }[]> {
  const rows = statement(
    db,
    `select l.key as logger, s.run, s.through, s.beyond, max(s.heard_at) from sequences s join loggers l on l.id = s.logger_id
     where l.retired_at is null group by s.logger_id`,
  ).all() as { logger: string; run: string; through: number; beyond: string }[]
  return rows.map(({ logger, run, through, beyond }) => ({
    logger,
    receipt: { run, through, beyond: JSON.parse(beyond) as Arrived['beyond'] },
  }))
}
