/**
 * The folder that backups of a database are in: one folder each, named by its instant. One under way, or on its way out,
 * has another name until it is whole, or gone.
 */
import { readdir, rename, rm, stat } from 'node:fs/promises'
import { join, resolve } from 'node:path'
import { flushToDisk } from './durable.ts'
import { type Manifest, readManifest } from './manifest.ts'
import { outdated } from './rotation.ts'

export interface WholeBackup {
  /** Where it lies. */
  path: string
  manifest: Manifest
}

/** Such as 2026-03-01T04-05-06Z: no colons, which some disks refuse. */
export const nameOf = (at: number): string => `${new Date(at).toISOString().slice(0, 19).replaceAll(':', '-')}Z`

const WHOLE = /^\d{4}-\d\d-\d\dT\d\d-\d\d-\d\dZ$/
const PARTIAL = /^partial-\d{4}-\d\d-\d\dT\d\d-\d\d-\d\dZ-(\d+)$/
const DAY_MS = 86_400_000

export const partialNameOf = (at: number): string => `partial-${nameOf(at)}-${process.pid}`

/** Those of one database that are as they were written, by their manifests alone; the oldest first. */
export async function wholeBackups(folder: string, databasePath: string): Promise<WholeBackup[]> {
  const names = await readdir(folder).catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT') return []
    throw error
  })
  const found: WholeBackup[] = []
  for (const name of names.filter((one) => WHOLE.test(one)).sort()) {
    const path = join(folder, name)
    const manifest = await readManifest(path).catch(() => null) // a damaged one is neither counted nor thrown away
    if (manifest?.database === resolve(databasePath)) found.push({ path, manifest })
  }
  return found
}

/** @returns paths of those that went */
export async function throwOutdatedAway(
  folder: string,
  databasePath: string,
  { now, keep }: { now: number; keep: number },
): Promise<string[]> {
  const backups = await wholeBackups(folder, databasePath)
  const times = outdated(
    backups.map(({ manifest }) => manifest.at),
    { now, keep },
  )
  const going = backups.filter(({ manifest }) => times.includes(manifest.at))
  for (const { path, manifest } of going) {
    // Renamed first: one that is half gone must not look whole.
    const aside = join(folder, partialNameOf(manifest.at))
    await rename(path, aside)
    await flushToDisk(folder)
    await rm(aside, { recursive: true, force: true })
  }
  return going.map(({ path }) => path)
}

/** What was under way when its program was killed. Only for who has none under way in this program. */
export async function clearPartials(folder: string, now: number): Promise<void> {
  for (const name of await readdir(folder).catch(() => [])) {
    const pid = Number(PARTIAL.exec(name)?.[1] ?? Number.NaN)
    if (Number.isNaN(pid)) continue
    const path = join(folder, name)
    const { mtimeMs } = await stat(path).catch(() => ({ mtimeMs: now }))
    const underWay = pid !== process.pid && isRunning(pid) && now - mtimeMs < DAY_MS
    if (!underWay) await rm(path, { recursive: true, force: true })
  }
}

function isRunning(pid: number): boolean {
  try {
    process.kill(pid, 0)
    return true
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM'
  }
}
