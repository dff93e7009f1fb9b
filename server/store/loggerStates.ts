/** What loggers that report by themselves were last heard saying. */
import { type Group, inSharedTransaction } from './groupedWrites.ts'
import type { Database } from './open.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

/** What a logger says of itself with a message. */
export interface ToldState {
  batteryV?: number
  signalDbm?: number
  firmware?: string
  /** Its clock minus ours, seconds. */
  clockOffS?: number
}

/** What one message adds. */
export interface HeardMessage {
  at: number
  /** Null when the message is not from the logger, as a last will is not. */
  told: ToldState | null
  /** Undefined when the message says nothing of it. */
  connected: boolean | undefined
  stored: number
  refused: number
}

/** All that the messages of one group said of a logger. */
interface SaidState {
  firstAt: number
  lastAt: number
  messages: number
  stored: number
  refused: number
  told: ToldState
}

export function noteState(
  db: Database,
  group: Group,
  loggerId: number,
  { at, told, connected, stored, refused }: HeardMessage,
): void {
  if (told !== null) {
    const states = group.shared(
      'logger states',
      () => new Map<number, SaidState>(),
      (all) => {
        for (const [id, state] of all) writeState(db, id, state)
      },
    )
    const before = states.get(loggerId)
    states.set(loggerId, {
      firstAt: Math.min(before?.firstAt ?? at, at),
      lastAt: Math.max(before?.lastAt ?? at, at),
      messages: (before?.messages ?? 0) + 1,
      stored: (before?.stored ?? 0) + stored,
      refused: (before?.refused ?? 0) + refused,
      told: { ...before?.told, ...told },
    })
  }
  // After the state of the group, so that a logger that is heard for the first time has a row to be marked in.
  if (connected !== undefined) {
    group
      .shared(
        'connections',
        () => new Map<number, { connected: boolean; at: number }>(),
        (all) => {
          for (const [id, one] of all) writeConnected(db, id, one.connected, one.at)
        },
      )
      .set(loggerId, { connected, at })
  }
}

function writeState(db: Database, loggerId: number, { firstAt, lastAt, told, ...counts }: SaidState): void {
  statement(
    db,
    `insert into logger_states (logger_id, first_heard_at, heard_at, battery_v, signal_dbm, firmware, clock_off_s,
       messages, readings, refused) values (@id, @firstAt, @lastAt, @batteryV, @signalDbm, @firmware, @clockOffS,
       @messages, @stored, @refused)
     on conflict (logger_id) do update set heard_at = max(heard_at, excluded.heard_at),
       first_heard_at = min(first_heard_at, excluded.first_heard_at),
       battery_v = coalesce(excluded.battery_v, battery_v), signal_dbm = coalesce(excluded.signal_dbm, signal_dbm),
       firmware = coalesce(excluded.firmware, firmware), clock_off_s = coalesce(excluded.clock_off_s, clock_off_s),
       messages = messages + excluded.messages, readings = readings + excluded.readings,
       refused = refused + excluded.refused`,
  ).run({
    id: loggerId,
    firstAt,
    lastAt,
    batteryV: told.batteryV ?? null,
    signalDbm: told.signalDbm ?? null,
    firmware: told.firmware ?? null,
    clockOffS: told.clockOffS ?? null,
    ...counts,
  } as never)
}

function writeConnected(db: Database, loggerId: number, connected: boolean, at: number): void {
  statement(
    db,
    `update logger_states set connected_at = case when connected is ? then connected_at else ? end, connected = ?
     where logger_id = ?`,
  ).run(Number(connected), at, Number(connected), loggerId)
}

const DAY_MS = 86_400_000

/** Of a day the largest offset stands: the way of a message only ever makes a clock look slower than it is. */
export function noteClock(db: Database, loggerId: number, at: number, offS: number): void {
  statement(
    db,
    `insert into clock_checks (logger_id, day_at, off_s, count) values (?, ?, ?, 1)
     on conflict (logger_id, day_at) do update set off_s = max(off_s, excluded.off_s), count = count + 1`,
  ).run(loggerId, Math.floor(at / DAY_MS) * DAY_MS, offS)
}

/** Connected or not as the broker sees it; a logger that was never heard has no row and needs none. */
export const noteConnected = (db: Database, loggerKey: string, connected: boolean, at: number): Promise<void> =>
  inSharedTransaction(db, 1, () => {
    const id = statement(db, 'select id from loggers where key = ?').pluck().get(loggerKey) as number | undefined
    if (id !== undefined) writeConnected(db, id, connected, at)
  })

/** When the service starts nobody is connected to it yet. */
export async function forgetConnections(db: Database): Promise<void> {
  inTransaction(db, () => statement(db, 'update logger_states set connected = null').run())
}
