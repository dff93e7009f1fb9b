import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { loadHouseFolder } from '../../ingest/folder/loadHouse.ts'
import { createIntake } from '../../ingest/intake.ts'
import { openDatabase } from '../../store/open.ts'
import { packageFolder } from '../../store/packageFolder.ts'
import { readHouse } from '../../store/readHouse.ts'
import { findingsOf } from '../../study/findings.ts'
import { findingsPage } from '../../study/page.ts'
import { type Command, EXIT } from '../command.ts'
import { createProgress } from '../progress.ts'
import { loadedText } from './load.ts'

export const demo: Command = {
  name: 'demo',
  usage: '[--units us|si] [--keep]',
  about: 'Loads the invented demo house into a scratch database and prints its findings.',
  examples: ['demo', 'demo --units si', 'demo --keep'],
  options: {
    units: { type: 'string', value: 'us|si', about: 'units of the answer (us)' },
    keep: { type: 'boolean', about: 'keep the scratch database and say where it is' },
  },
  async run(args, context) {
    const units = args.choice('units', ['us', 'si'], 'us')
    const scratch = await mkdtemp(join(tmpdir(), 'underjoist-demo-'))
    const db = openDatabase(join(scratch, 'demo.db'))
    try {
      const progress = createProgress(context, 'Loading the demo house', context.now)
      const deps = { db, intake: createIntake(db, { now: context.now }), now: context.now }
      const loaded = await loadHouseFolder(deps, join(packageFolder(), 'demo-data/house'), {
        who: context.who,
        signal: context.signal,
        onProgress: (file, done, total) => progress.show(done, total, file),
      })
      progress.end()
      const findings = (await findingsOf(db, loaded.key, { now: context.now() }))!
      const house = (await readHouse(db, loaded.key))!
      if (context.json) context.out(`${JSON.stringify({ loaded, findings }, null, 2)}\n`)
      else context.out(`${loadedText(loaded)}\n${findingsPage(house, findings, units)}`)
      if (args.flag('keep')) context.err(`The scratch database is kept: ${db.path}\n`)
      return EXIT.done
    } finally {
      db.close()
      if (!args.flag('keep')) await rm(scratch, { recursive: true, force: true })
    }
  },
}
