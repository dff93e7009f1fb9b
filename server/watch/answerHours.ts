/** Within how many hours the firm promises an owner an answer. */
import { NUMBER_DEFAULTS } from '../advice/defaults.ts'
import { ThresholdError, thresholds } from '../advice/thresholds.ts'
import type { Database } from '../store/open.ts'
import { readFirmSettings } from '../store/settings.ts'
import type { FirmTold } from './letters/told.ts'

/** As the firm set them; settings that cannot hold must not keep an alarm from going out, so then the defaults. */
export async function readAnswerHours(db: Database): Promise<FirmTold['answerHours']> {
  try {
    const { answerUrgentHours, answerSoonHours } = thresholds(await readFirmSettings(db))
    return { urgent: answerUrgentHours, soon: answerSoonHours }
  } catch (error) {
    if (!(error instanceof ThresholdError)) throw error
    return { urgent: NUMBER_DEFAULTS.answerUrgentHours.value, soon: NUMBER_DEFAULTS.answerSoonHours.value }
  }
}
