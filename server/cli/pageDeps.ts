/** What the pages ask for, wired to the database and to what runs beside. */
import { createKeptFiles } from '../files/keptFiles.ts'
import type { AppDeps } from '../http/app.ts'
import type { HousesDeps } from '../http/houses.ts'
import { createFileDesk } from '../ingest/fileDesk.ts'
import { createDemoHouse } from '../ingest/folder/demoHouse.ts'
import type { Intake } from '../ingest/intake.ts'
import { createStationDesk } from '../ingest/station/desk.ts'
import { fetchText } from '../ingest/station/fetchText.ts'
import type { StationSchedule } from '../ingest/station/schedule.ts'
import type { Queue } from '../jobs/queue.ts'
import { readHistory, treeProblemsIn, undoEntry } from '../store/history.ts'
import { listHouses } from '../store/houses.ts'
import type { Database } from '../store/open.ts'
import { readHouse } from '../store/readHouse.ts'
import { storeHouse } from '../store/storeHouse.ts'
import { createGuidedChecks } from '../study/guidedChecks.ts'
import type { HouseFindings } from '../study/houseFindings.ts'
import { placingOf } from '../study/placing.ts'
import { round } from '../study/round.ts'
import { createHouseViews } from '../study/view/houseViews.ts'
import type { OwnerViewDeps } from '../study/view/ownerPage.ts'
import type { LetterDesk } from '../watch/post/letterDesk.ts'
import { roundNotices } from '../watch/roundNotices.ts'
import { firmDesk } from './firmDesk.ts'
import { ownerPages } from './ownerPages.ts'

export interface PageParts {
  now: () => number
  intake: Intake
  queue: Queue
  findings: (houseKey: string) => Promise<HouseFindings | undefined>
  stationSchedule: StationSchedule
  letters: LetterDesk
  ownerView: OwnerViewDeps
  /** Folder of files that were dropped and are not stored yet. */
  dropped: string
}

export function pageDeps(
  db: Database,
  { now, intake, queue, findings, stationSchedule, letters, ownerView, dropped }: PageParts,
): NonNullable<AppDeps['pages']> {
  const kept = createKeptFiles(dropped)
  const { onStale } = ownerView
  return {
    now,
    houses: housesOf(db, now),
    checks: createGuidedChecks(db, now),
    placing: (key, units) => placingOf(db, key, { now: now(), units }),
    async round(units, reaches) {
      const notices = await roundNotices(db, new Map((await listHouses(db)).map(({ id, timeZone }) => [id, timeZone])))
      return { asOf: now(), ...(await round(db, { now: now(), units, notices, reaches, onStale })) }
    },
    firm: firmDesk(db),
    ownerPage: ownerPages(db, { ...ownerView, letters }),
    views: createHouseViews(db, { now, findings }),
    files: createFileDesk({ db, now, kept, queue }),
    stations: createStationDesk({ db, now, kept, schedule: stationSchedule, fetchText }),
    demoHouse: createDemoHouse({ db, intake, now }, 'the pages'),
  }
}

const housesOf = (db: Database, now: () => number): HousesDeps['houses'] => ({
  read: (key) => readHouse(db, key),
  problems: (tree, houses) => treeProblemsIn(db, tree, now(), houses),
  async store(tree, change) {
    await storeHouse(db, tree, { ...change, now: now() })
  },
  history: (key) => readHistory(db, key),
  undo: (key, entry, by) => undoEntry(db, key, entry, { now: now(), ...by }),
})
