import { once } from 'node:events'
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { loadDemoHouse } from '../../ingest/folder/demoHouse.ts'
import type { Loaded } from '../../ingest/folder/loadHouse.ts'
import { createIntake } from '../../ingest/intake.ts'
import { type Database, openDatabase } from '../../store/open.ts'
import { readHouse } from '../../store/readHouse.ts'
import type { Finding } from '../../study/finding.ts'
import { findingsOf } from '../../study/findings.ts'
import { findingsPage } from '../../study/page.ts'
import { wrapped } from '../../study/pageText.ts'
import { shortPage } from '../../study/shortPage.ts'
import { housePage } from '../../study/view/housePage.ts'
import type { Units } from '../../study/wording.ts'
import { type Command, type Context, EXIT } from '../command.ts'
import { DEFAULT_PORT } from '../environment.ts'
import { createProgress } from '../progress.ts'
import { startService } from '../runService.ts'
import { serviceAt } from '../simulate/enrollInvented.ts'
import { startLiveDemo } from '../simulate/liveDemo.ts'
import { number } from '../words.ts'
import { loadedText } from './load.ts'

const MORE =
  'These are the main findings. `demo --full` prints all, with tables and evidence; `demo --units si` in SI.\n'
/** A port that is taken is passed over; more than so many is a sign of something else. */
const PORTS_TRIED = 20

export const demo: Command = {
  name: 'demo',
  usage: '[--print] [--units us|si] [--full] [--keep]',
  about:
    'Loads the invented demo house into a scratch database, says what was found, and serves its pages until Ctrl+C.',
  examples: ['demo', 'demo --print', 'demo --full', 'demo --units si', 'demo --keep'],
  options: {
    print: { type: 'boolean', about: 'print the main findings and end, without serving' },
    units: { type: 'string', value: 'us|si', about: 'units of what is printed (us)' },
    full: { type: 'boolean', about: 'print everything that was found, with the evidence, and end' },
    keep: { type: 'boolean', about: 'keep the scratch database and say where it is' },
  },
  async run(args, context) {
    const units = args.choice('units', ['us', 'si'], 'us')
    const scratch = await mkdtemp(join(tmpdir(), 'underjoist-demo-'))
    const databasePath = join(scratch, 'demo.db')
    let houseKey = ''
    try {
      const db = openDatabase(databasePath)
      try {
        const { loaded, findings } = await load(db, context)
        houseKey = loaded.key
        if (context.json) context.out(`${JSON.stringify({ loaded, findings }, null, 2)}\n`)
        else
          context.out(
            await text(db, loaded, findings, args.flag('full') ? 'full' : args.flag('print') ? 'short' : 'few', {
              units,
              now: context.now(),
            }),
          )
      } finally {
        db.close()
      }
      if (args.flag('keep')) context.err(`The scratch database is kept: ${databasePath}\n`)
      if (!context.json && !args.flag('full') && !args.flag('print'))
        await serveUntilTold(databasePath, houseKey, context)
      return EXIT.done
    } finally {
      if (!args.flag('keep')) await rm(scratch, { recursive: true, force: true })
    }
  },
}

async function load(db: Database, context: Context): Promise<{ loaded: Loaded; findings: Finding[] }> {
  const progress = createProgress(context, 'Loading the demo house', context.now)
  const deps = { db, intake: createIntake(db, { now: context.now }), now: context.now }
  const loaded = await loadDemoHouse(deps, {
    who: context.who,
    signal: context.signal,
    onProgress: (file, done, total) => progress.show(done, total, file),
  })
  progress.end()
  // Its record ended long ago: told as of then.
  const findings = (await findingsOf(db, loaded.key, { now: context.now(), asOf: null }))!
  return { loaded, findings }
}

async function text(
  db: Database,
  loaded: Loaded,
  findings: Finding[],
  how: 'few' | 'short' | 'full',
  { units, now }: { units: Units; now: number },
): Promise<string> {
  const house = (await readHouse(db, loaded.key))!
  const rows = number(loaded.files.reduce((sum, { result }) => sum + result.stored, 0))
  if (how === 'full') return `${loadedText(loaded)}\n${findingsPage(house, findings, units)}`
  if (how === 'short') return `${rows} readings loaded.\n\n${shortPage(house, findings, units)}\n${MORE}`
  const { verdict, encapsulate } = (await housePage(db, loaded.key, { units, now, findings, balance: null }))!
  const lines = [verdict.sentence, ...verdict.lead, `Encapsulate it? ${encapsulate.sentence}`]
  return `${house.name}. This house is invented. ${rows} readings loaded.\n${lines.flatMap((line) => wrapped(`- ${line}`, '  ')).join('\n')}\n\n`
}

async function serveUntilTold(databasePath: string, houseKey: string, context: Context): Promise<void> {
  const service = await startSomewhere(databasePath, context)
  // The balance takes some seconds: begun before anybody opens the page.
  await fetch(`${service.address}/api/houses/${houseKey}/balance`)
  const live = await startLiveDemo(serviceAt(service.address), {
    now: context.now(),
    signal: context.signal,
    onProblem: (sentence) => context.err(`${sentence}\n`),
  })
  context.out(`An invented logger reports every few seconds: ${service.address}/loggers/${live.key}\n`)
  context.out(`Open ${service.address} in a browser. Ctrl+C ends it and throws the scratch database away.\n`)
  if (!context.signal.aborted) await once(context.signal, 'abort')
  await live.ended
  await service.stop()
}

async function startSomewhere(databasePath: string, { now }: Context) {
  for (let port = DEFAULT_PORT; ; port++) {
    try {
      return await startService({
        door: 'open on this machine',
        databasePath,
        host: '127.0.0.1',
        port,
        broker: { kind: 'own', host: '127.0.0.1', port: 0 },
        now,
        log: false,
      })
    } catch (error) {
      const taken = (error as NodeJS.ErrnoException).code === 'EADDRINUSE'
      if (!taken || port >= DEFAULT_PORT + PORTS_TRIED) throw error
    }
  }
}
