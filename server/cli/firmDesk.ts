/** The firm as its contractor enters it: whom to call, and within how many hours an owner gets an answer. */
import { thresholds } from '../advice/thresholds.ts'
import type { FirmDeps } from '../http/firm.ts'
import { readFirm, storeFirm } from '../store/firm.ts'
import type { Database } from '../store/open.ts'
import { readFirmSettings } from '../store/settings.ts'
import { readLetterLimits } from '../watch/letterLimits.ts'

export const firmDesk = (db: Database): FirmDeps['firm'] => ({
  async read() {
    return { ...(await readFirm(db)), answerHours: (await readLetterLimits(db)).answerHours }
  },
  async store({ answerHours, ...firm }) {
    const settings: Record<string, number> =
      answerHours === undefined ? {} : { answerUrgentHours: answerHours.urgent, answerSoonHours: answerHours.soon }
    // Refused before anything is stored.
    if (answerHours !== undefined) thresholds({ ...(await readFirmSettings(db)), ...settings })
    await storeFirm(db, firm, settings)
  },
})
