/** A short word for all facts of a house: it is another one as soon as anything in the tree is. */
import { createHash } from 'node:crypto'
import type { HouseTree } from './houseTree.ts'

export const houseVersion = (house: HouseTree): string =>
  createHash('sha256').update(JSON.stringify(house)).digest('hex').slice(0, 16)
