/** Once before all browser tests: the pages built, Chromium unpacked, and the demo house with its balance in a database to copy. */
import { existsSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { build } from 'vite'
import type { TestProject } from 'vitest/node'
import { loadDemoHouse } from '../../server/ingest/folder/demoHouse.ts'
import { createIntake } from '../../server/ingest/intake.ts'
import { openDatabase } from '../../server/store/open.ts'
import { balanceOf } from '../../server/study/balance/balance.ts'
import { makeBalanceInWorker } from '../../server/study/balance/balanceWorker.ts'
import { findingsOf } from '../../server/study/findings.ts'
import { unpackedChromium } from './chromium.ts'

const ROOT = join(import.meta.dirname, '../..')
const CACHE = join(ROOT, 'node_modules/.cache')

declare module 'vitest' {
  export interface ProvidedContext {
    chromiumPath: string
    demoDatabase: string
  }
}

export default async function setup(project: TestProject): Promise<void> {
  await build({ configFile: join(ROOT, 'vite.config.ts'), logLevel: 'error' })
  project.provide('chromiumPath', await unpackedChromium())
  project.provide('demoDatabase', await demoDatabase())
}

export async function demoDatabase(): Promise<string> {
  const path = join(CACHE, 'browser-tests-demo.db')
  for (const file of [path, `${path}-wal`, `${path}-shm`]) if (existsSync(file)) rmSync(file)
  const db = openDatabase(path)
  const now = Date.now
  const { key } = await loadDemoHouse({ db, intake: createIntake(db, { now }), now }, { who: 'tests' })
  await findingsOf(db, key, { now: now() })
  await balanceOf(db, key, { now, make: (house) => makeBalanceInWorker(db, house) })
  db.close()
  return path
}
