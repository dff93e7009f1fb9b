/** What the pages of a house ask of the service, each answered from what is kept or begun in the background. */
import type { Database } from '../../store/open.ts'
import { keptBalance, keptEffectDays } from '../balance/balance.ts'
import type { EffectDays } from '../balance/effectDays.ts'
import type { HouseFindings } from '../houseFindings.ts'
import type { Units } from '../wording.ts'
import { type HousePageView, housePage } from './housePage.ts'
import { type RecordAsked, type RecordView, recordView } from './recordView.ts'
import { riskSeriesOf } from './riskSeries.ts'

export interface HouseViews {
  /** undefined: no such house; 'being made': its findings take longer than a caller should wait. */
  page(houseKey: string, units: Units): Promise<HousePageView | 'being made' | undefined>
  record(houseKey: string, asked: Omit<RecordAsked, 'risk'>): Promise<RecordView | undefined>
  /** Empty while no balance is kept. */
  effects(houseKey: string): Promise<EffectDays[] | undefined>
}

/** A page that waits longer shows that it is worked on. */
const PATIENCE_MS = 250

export function createHouseViews(
  db: Database,
  { now, findings }: { now: () => number; findings: (houseKey: string) => Promise<HouseFindings | undefined> },
): HouseViews {
  return {
    async page(houseKey, units) {
      const asked = findings(houseKey)
      // Whoever asks again in a moment is told what went wrong; here nobody may be left to hear it.
      asked.catch(() => {})
      const found = await Promise.race([asked, after(PATIENCE_MS)])
      if (found === 'later') return 'being made'
      if (found === undefined) return undefined
      const balance = (await keptBalance(db, houseKey))?.kept?.answer ?? null
      return housePage(db, houseKey, { units, now: now(), findings: found.findings, balance })
    },
    async record(houseKey, asked) {
      const needsRisk = asked.show === 'woodMcPct' || asked.show === 'moldIndex'
      const risk = needsRisk ? ((await riskSeriesOf(db, houseKey, now())) ?? null) : null
      return recordView(db, houseKey, { ...asked, risk })
    },
    async effects(houseKey) {
      const found = await keptBalance(db, houseKey)
      return found && keptEffectDays(db, found)
    },
  }
}

function after(ms: number): Promise<'later'> {
  return new Promise((resolve) => {
    setTimeout(() => resolve('later'), ms).unref()
  })
}
