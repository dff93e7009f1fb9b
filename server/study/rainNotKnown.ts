/** Said in the evidence of every finding that rain would bear on. Rain not known is never no rain. */
import type { StudiedHouse } from './studiedHouse.ts'

export const rainNotKnown = ({ rain }: Pick<StudiedHouse, 'rain'>): string[] =>
  rain === null ? ['Rain not known: no gauge, and no station that tells rain, serves this house.'] : []
