import { exportHouse as writeFolder } from '../../ingest/folder/exportHouse.ts'
import { type Command, EXIT } from '../command.ts'
import { withDatabase } from '../open.ts'
import { count } from '../words.ts'

export const exportHouse: Command = {
  name: 'export',
  usage: 'HOUSE DIR',
  about: 'Writes a house as a folder that `load` takes: house.json, readings/ and photos/.',
  examples: ['export maple-hollow hand-over/maple-hollow'],
  async run(args, context) {
    const key = args.word(0, 'The house')
    const folder = args.word(1, 'The folder to write')
    const exported = await withDatabase(context, ({ db }) => writeFolder(db, key, folder))
    context.out(
      context.json
        ? `${JSON.stringify(exported, null, 2)}\n`
        : `${exported.folder}: ${count(exported.files, 'file')}, ${count(exported.readings, 'reading')}.\n`,
    )
    return EXIT.done
  },
}
