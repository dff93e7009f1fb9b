/** The secret of an address that stops one class of letters about one house for one person. */
import type { Signer } from '../../people/signed.ts'
import { isLetterClass, type LetterClass } from './kinds.ts'

export interface Stop {
  personId: number
  houseId: number
  letterClass: LetterClass
}

const PURPOSE = 'stop letters'

export const stopToken = (signer: Signer, { personId, houseId, letterClass }: Stop): string =>
  signer.sign(PURPOSE, [personId, houseId, letterClass])

/** @returns null when it was not made here */
export function openStopToken(signer: Signer, token: string): Stop | null {
  const words = signer.open(PURPOSE, token)
  if (words === null) return null
  const [personId, houseId, letterClass] = words as [string, string, string]
  return isLetterClass(letterClass) ? { personId: Number(personId), houseId: Number(houseId), letterClass } : null
}
