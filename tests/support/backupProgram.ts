/**
 * Makes a backup as a program of its own, to be killed in the middle. Arguments: database, folder, instant.
 * Prints a line before each step of the work, and "done" at the end.
 */
import { writeSync } from 'node:fs'
import { backUp } from '../../server/files/backup.ts'

const [databasePath, folder, at] = process.argv.slice(2) as [string, string, string]
// Written past all buffers, so that whoever kills this knows how far it was.
const onProgress = (done: number, total: number | null, what: string) => writeSync(1, `${what} ${done}/${total}\n`)
await backUp({ databasePath, folder, keep: 7, now: () => Number(at), onProgress })
writeSync(1, 'done\n')
