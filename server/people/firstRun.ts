/** The code by which the very first person comes in: made at each start, never stored, typed from the log. */
import { randomInt } from 'node:crypto'
import { sameSecret } from './secrets.ts'

/** Without letters and digits that are taken for each other. */
const SIGNS = '23456789ABCDEFGHJKLMNPQRSTUVWXYZ'
const GROUPS = 3
const GROUP_SIGNS = 4

/** 60 random bits, such as 7KQF-M2XD-PW4T. */
export const newFirstCode = (): string =>
  Array.from({ length: GROUPS }, () =>
    Array.from({ length: GROUP_SIGNS }, () => SIGNS[randomInt(SIGNS.length)]).join(''),
  ).join('-')

const plain = (code: string): string => code.toUpperCase().replace(/[^0-9A-Z]/g, '')

/** However it was typed: small letters, spaces, no dashes. */
export const sameCode = (typed: string, code: string): boolean => sameSecret(plain(typed), plain(code))
