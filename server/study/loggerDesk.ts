/** All that is done with loggers, each act told to whoever watches live and to the broker. */
import { keepPhotoBytes, type PhotoType, readPhoto } from '../files/photos.ts'
import type { IntakeState } from '../ingest/mqtt/liveIntake.ts'
import { findHouse } from '../store/houses.ts'
import { changeLogger, type Enrolling, enrollLoggers, giveSecret, type LoggerChange } from '../store/loggerLife.ts'
import { addLoggerPhoto, findPhotoType } from '../store/loggerPhotos.ts'
import { type Placing, pickUpLogger, placeLogger, retireLogger, swapLogger } from '../store/loggerPlaces.ts'
import { noSuchHouse, noSuchLogger } from '../store/loggerRefused.ts'
import { revokeSecret } from '../store/loggerSecrets.ts'
import { findLogger } from '../store/loggers.ts'
import type { Database } from '../store/open.ts'
import { dropRefusedMessage, listRefusedMessages, type RefusedMessage } from '../store/refusedMessages.ts'
import { insideSince, stepInOrOut } from '../store/visits.ts'
import { type LiveLogger, live, liveLoggers, type SilentHouse, silentHouses, silentHousesNote } from './liveLoggers.ts'

export interface LoggerDeskDeps {
  db: Database
  now: () => number
  intake: () => IntakeState
  /** Puts a logger out whose credentials no longer hold. */
  disconnect: (loggerKey: string) => void
  /** Somebody changed these. */
  changed: (loggerKeys: readonly string[]) => void
}

export interface IntakeView extends IntakeState {
  silentHouses: SilentHouse[]
  notes: string[]
}

const MOST_REFUSED = 200

export type LoggerDesk = ReturnType<typeof createLoggerDesk>

/** Acts throw LoggerRefused with a sentence; nothing is changed then. */
export function createLoggerDesk({ db, now, intake, disconnect, changed }: LoggerDeskDeps) {
  const act = (who: string) => ({ now: now(), who })

  async function find(keyOrCode: string): Promise<LiveLogger | undefined> {
    const logger = await findLogger(db, keyOrCode, now())
    return logger && live(logger, now())
  }
  async function mustFind(key: string): Promise<LiveLogger> {
    const logger = await find(key)
    if (logger === undefined) throw noSuchLogger(key)
    return logger
  }
  async function after(key: string): Promise<LiveLogger> {
    changed([key])
    return mustFind(key)
  }

  return {
    find,

    async list({ house, keys }: { house?: string; keys?: Iterable<string> } = {}): Promise<LiveLogger[]> {
      if (house !== undefined && (await findHouse(db, house)) === undefined) throw noSuchHouse(house)
      return liveLoggers(db, { now: now(), ...(house !== undefined && { house }), ...(keys && { keys }) })
    },

    async enroll(asked: Enrolling, who: string): Promise<{ logger: LiveLogger; secret: string | null }[]> {
      const enrolled = await enrollLoggers(db, asked, act(who))
      changed(enrolled.map(({ key }) => key))
      return Promise.all(enrolled.map(async ({ key, secret }) => ({ logger: await mustFind(key), secret })))
    },

    /** Whoever is signed in by the old one is put out. */
    async newSecret(key: string): Promise<{ logger: LiveLogger; secret: string }> {
      const secret = await giveSecret(db, key, { now: now() })
      disconnect(key)
      return { logger: await after(key), secret }
    },

    async revokeSecret(key: string): Promise<LiveLogger> {
      await mustFind(key)
      await revokeSecret(db, key)
      disconnect(key)
      return after(key)
    },

    async change(key: string, change: LoggerChange, who: string): Promise<LiveLogger> {
      await changeLogger(db, key, change, act(who))
      return after(key)
    },

    async place(key: string, placing: Placing, who: string): Promise<LiveLogger> {
      await placeLogger(db, key, placing, act(who))
      return after(key)
    },

    async pickUp(key: string, at: string | undefined, who: string): Promise<LiveLogger> {
      await pickUpLogger(db, key, at, act(who))
      return after(key)
    },

    async swap(key: string, asked: { with: string; at?: string }, who: string): Promise<LiveLogger[]> {
      await swapLogger(db, key, asked, act(who))
      return [await after(key), await after(asked.with)]
    },

    async retire(key: string, why: string | undefined, who: string): Promise<LiveLogger> {
      await retireLogger(db, key, why, act(who))
      disconnect(key)
      return after(key)
    },

    async addPhoto(key: string, bytes: Uint8Array, mediaType: PhotoType, who: string): Promise<string> {
      await mustFind(key)
      const hash = await keepPhotoBytes(db.path, bytes)
      await addLoggerPhoto(db, key, { hash, mediaType }, act(who))
      return hash
    },

    async photo(hash: string): Promise<{ bytes: Buffer; mediaType: string } | undefined> {
      const mediaType = await findPhotoType(db, hash)
      const bytes = mediaType === undefined ? null : await readPhoto(db.path, hash)
      return mediaType === undefined || bytes === null ? undefined : { bytes, mediaType }
    },

    /** undefined when there is no such house; null when nobody is inside. */
    insideSince: (houseKey: string): Promise<number | null | undefined> => insideSince(db, houseKey, now()),

    step: (houseKey: string, step: { step: 'in' | 'out'; note?: string }, who: string) =>
      stepInOrOut(db, houseKey, step, act(who)),

    refused: (): Promise<RefusedMessage[]> => listRefusedMessages(db, MOST_REFUSED),
    dropRefused: (id: number): Promise<boolean> => dropRefusedMessage(db, id),

    /** @param within whether a house is told of; all are when left out */
    async intake(within: (houseKey: string) => boolean = () => true): Promise<IntakeView> {
      const state = intake()
      const silent = silentHouses(await liveLoggers(db, { now: now() })).filter(({ house }) => within(house))
      const none = state.broker.kind === 'none' ? 'No broker is set up: loggers cannot report by themselves.' : null
      const notes = [none, silentHousesNote(silent)].filter((note) => note !== null)
      return { ...state, silentHouses: silent, notes }
    },
  }
}
