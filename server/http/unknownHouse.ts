import { ServiceError } from './errors.ts'

/** What every resource of a house answers when there is none of that key. */
export const unknownHouse = (key: string): ServiceError =>
  new ServiceError(
    'UNKNOWN_HOUSE',
    `There is no house "${key}".`,
    'Use the key of the house, such as maple-hollow; the round and `underjoist houses` list them.',
    'params/id',
  )
