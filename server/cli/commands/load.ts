import { type Loaded, loadHouseFolder } from '../../ingest/folder/loadHouse.ts'
import { HouseTreeSchema } from '../../store/houseTree.ts'
import { type Command, EXIT } from '../command.ts'
import { withDatabase } from '../open.ts'
import { createProgress } from '../progress.ts'
import { count, countsSentence } from '../words.ts'

export const load: Command = {
  name: 'load',
  usage: 'DIR [--replace] | --schema',
  about:
    'Brings a house folder in: house.json and its readings. Loading it again adds only what is new. A stored house whose facts differ is kept unless --replace is given; readings always stay.',
  examples: ['load demo-data/house', 'load old-export --replace', 'load --schema > house.schema.json'],
  options: {
    replace: { type: 'boolean', about: 'take the facts of the folder for a house that is stored already' },
    schema: { type: 'boolean', about: 'print the JSON Schema of house.json and load nothing' },
  },
  async run(args, context) {
    if (args.flag('schema')) {
      context.out(`${JSON.stringify(HouseTreeSchema, null, 2)}\n`)
      return EXIT.done
    }
    const folder = args.word(0, 'The house folder')
    const progress = createProgress(context, 'Loading', context.now)
    const loaded = await withDatabase(context, (deps) =>
      loadHouseFolder(deps, folder, {
        replace: args.flag('replace'),
        who: context.who,
        signal: context.signal,
        onProgress: (file, done, total) => progress.show(done, total, file),
      }),
    )
    progress.end()
    context.out(context.json ? `${JSON.stringify(loaded, null, 2)}\n` : loadedText(loaded))
    return EXIT.done
  },
}

const HOUSE_SENTENCES = { new: 'is new', replaced: 'has the facts of the folder now', same: 'was there already' }

export function loadedText({ name, key, house, files }: Loaded): string {
  const lines = [`${name} (${key}) ${HOUSE_SENTENCES[house]}; ${count(files.length, 'readings file')} brought in.`]
  for (const { file, result } of files) {
    lines.push(`  ${file}: ${countsSentence(result)}`)
    if (result.note) lines.push(`    ${result.note}`)
  }
  const refused = files.filter(({ result }) => result.refused + result.differs > 0)
  if (refused.length > 0) {
    lines.push('Lines that were not stored, with the reason of each:')
    for (const { result } of refused) lines.push(`  underjoist import --receipt ${result.importId}`)
  }
  return `${lines.join('\n')}\n`
}
