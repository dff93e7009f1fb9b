/** What loggers told of their clocks, day by day. */
import type { ClockDay } from '../series/clockDrift.ts'
import type { Database } from './open.ts'
import { statement } from './unitsOfWork.ts'

/** Keys of loggers that told their time at all. */
export async function findClockLoggers(db: Database): Promise<string[]> {
  return statement(
    db,
    'select key from loggers where retired_at is null and id in (select logger_id from clock_checks) order by key',
  )
    .pluck()
    .all() as string[]
}

/** Ascending. */
export async function readClockDays(db: Database, loggerKey: string): Promise<ClockDay[]> {
  return statement(
    db,
    `select day_at as dayAt, off_s as offS from clock_checks
     where logger_id = (select id from loggers where key = ?) order by day_at`,
  ).all(loggerKey) as ClockDay[]
}
