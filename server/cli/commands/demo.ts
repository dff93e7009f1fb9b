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
import { shortPage } from '../../study/shortPage.ts'
import { type Command, EXIT } from '../command.ts'
import { createProgress } from '../progress.ts'
import { number } from '../words.ts'
import { loadedText } from './load.ts'

const MORE =
  'These are the main findings. `demo --full` prints all, with tables and evidence; `demo --units si` in SI.\n'

export const demo: Command = {
  name: 'demo',
  usage: '[--units us|si] [--full] [--keep]',
  about: 'Loads the invented demo house into a scratch database and prints the main findings, or all.',
  examples: ['demo', 'demo --full', 'demo --units si', 'demo --keep'],
  options: {
    units: { type: 'string', value: 'us|si', about: 'units of the answer (us)' },
    full: { type: 'boolean', about: 'print everything that was found, with the evidence' },
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
      const findings = (await findingsOf(db, loaded.key, { now: context.now(), asOf: null }))! // its record ended long ago
      const house = (await readHouse(db, loaded.key))!
      if (context.json) context.out(`${JSON.stringify({ loaded, findings }, null, 2)}\n`)
      else if (args.flag('full')) context.out(`${loadedText(loaded)}\n${findingsPage(house, findings, units)}`)
      else {
        const rows = loaded.files.reduce((sum, { result }) => sum + result.stored, 0)
        context.out(`${number(rows)} readings loaded.\n\n${shortPage(house, findings, units)}\n${MORE}`)
      }
      if (args.flag('keep')) context.err(`The scratch database is kept: ${db.path}\n`)
      return EXIT.done
    } finally {
      db.close()
      if (!args.flag('keep')) await rm(scratch, { recursive: true, force: true })
    }
  },
}
