/** What a backup holds, in a sentence. */
import type { Manifest } from '../files/manifest.ts'
import { count } from './words.ts'

export function contentsSentence({ rows, firstAt, lastAt, files, photosMissing }: Manifest): string {
  const day = (at: number) => new Date(at).toISOString().slice(0, 10)
  const span = firstAt === null || lastAt === null ? '' : ` from ${day(firstAt)} to ${day(lastAt)}`
  const what = `${count(rows.houses ?? 0, 'house')}, ${count(rows.readings ?? 0, 'reading')}${span}, ${count(files.length - 1, 'photo')}.`
  if (photosMissing.length === 0) return what
  return `${what} ${count(photosMissing.length, 'photo')} that houses name ${photosMissing.length === 1 ? 'was' : 'were'} not there whole and could not be kept; no older backup is thrown away.`
}
