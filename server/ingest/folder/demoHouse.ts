/** The invented demo house that comes with the program. */
import { join } from 'node:path'
import { findHouse } from '../../store/houses.ts'
import { packageFolder } from '../../store/packageFolder.ts'
import type { ImportDeps } from '../import.ts'
import { FolderRefused, type Loaded, type LoadOptions, loadHouseFolder } from './loadHouse.ts'

const DEMO_KEY = 'demo-fernhollow'

export const loadDemoHouse = (deps: ImportDeps, options: LoadOptions): Promise<Loaded> =>
  loadHouseFolder(deps, join(packageFolder(), 'demo-data/house'), options)

/** The demo house, loaded when it is not there; one that somebody has changed since is left as it is. */
export function createDemoHouse(deps: ImportDeps, who: string) {
  let underWay: Promise<{ key: string; name: string; added: boolean }> | undefined

  async function load() {
    try {
      const { key, name, house } = await loadDemoHouse(deps, { who })
      return { key, name, added: house === 'new' }
    } catch (error) {
      const stored = error instanceof FolderRefused ? await findHouse(deps.db, DEMO_KEY) : undefined
      if (stored === undefined) throw error
      return { key: stored.key, name: stored.name, added: false }
    }
  }

  return (): Promise<{ key: string; name: string; added: boolean }> =>
    (underWay ??= load().finally(() => {
      underWay = undefined
    }))
}
