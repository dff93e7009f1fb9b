/** Small phrases that several commands say. */
import type { ImportCounts } from '../store/imports.ts'

export const number = (value: number): string => value.toLocaleString('en-US')

/** `1 file`, `3 files`. */
export const count = (value: number, what: string): string => `${number(value)} ${what}${value === 1 ? '' : 's'}`

/** What became of the rows of a file. */
export function countsSentence({ stored, repeated, filled, differs, refused }: ImportCounts): string {
  const parts = [`${number(stored)} stored`]
  if (repeated > 0) parts.push(`${number(repeated)} there already`)
  if (filled > 0) parts.push(`${number(filled)} filled in`)
  if (differs > 0) parts.push(`${number(differs)} differ from what is stored (the first stays)`)
  if (refused > 0) parts.push(`${number(refused)} refused`)
  return parts.join(', ')
}
