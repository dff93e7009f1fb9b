/** What the firm sets for its letters: answers it promises, and how many letters it sends. */
import { NUMBER_DEFAULTS } from '../advice/defaults.ts'
import { ThresholdError, thresholds } from '../advice/thresholds.ts'
import type { Database } from '../store/open.ts'
import { readFirmSettings } from '../store/settings.ts'

export interface LetterLimits {
  /** Within how many hours an owner is promised an answer. */
  answerHours: { urgent: number; soon: number }
  gatherMs: number
  ownerLettersPerMonth: number
}

const NAMES = ['answerUrgentHours', 'answerSoonHours', 'gatherMinutes', 'ownerLettersPerMonth'] as const
const MINUTE_MS = 60_000

/** As the firm set them; settings that cannot hold must not keep an alarm from going out, so then the defaults. */
export async function readLetterLimits(db: Database): Promise<LetterLimits> {
  const held = await readHeld(db)
  return {
    answerHours: { urgent: held.answerUrgentHours, soon: held.answerSoonHours },
    gatherMs: held.gatherMinutes * MINUTE_MS,
    ownerLettersPerMonth: held.ownerLettersPerMonth,
  }
}

async function readHeld(db: Database): Promise<Record<(typeof NAMES)[number], number>> {
  try {
    return thresholds(await readFirmSettings(db))
  } catch (error) {
    if (!(error instanceof ThresholdError)) throw error
    return Object.fromEntries(NAMES.map((name) => [name, NUMBER_DEFAULTS[name].value])) as Record<
      (typeof NAMES)[number],
      number
    >
  }
}
