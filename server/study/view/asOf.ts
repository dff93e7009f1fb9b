/**
 * The instant a house is told for. An invented house's record ended long ago: told as of now it would be silent, and show
 * nothing of what it is there to show. Every other house is told as of now, for no news never means dry.
 */
export const asOfHouse = (house: { invented?: boolean }, recordEnd: number | null, now: number): number =>
  house.invented && recordEnd !== null ? Math.min(now, recordEnd) : now
