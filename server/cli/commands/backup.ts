import { backUp } from '../../files/backup.ts'
import { type Command, EXIT, UsageError } from '../command.ts'
import { contentsSentence } from '../contentsWords.ts'
import { DEFAULT_KEEP } from '../environment.ts'
import { createProgress } from '../progress.ts'
import { readSetting, readText } from '../readSetting.ts'
import { count } from '../words.ts'

export const backup: Command = {
  name: 'backup',
  usage: '[FOLDER] [--keep N]',
  about:
    'Backs the database and its photos up into a folder of its own below FOLDER (or BACKUP_FOLDER), also while a service uses them, and looks at it afterwards. Older ones go, but the newest of each of the last 7 days and of the last 4 weeks stay.',
  examples: ['backup /mnt/backups', 'backup /mnt/backups --keep 30 --db data/underjoist.db'],
  options: {
    keep: { type: 'string', value: 'N', about: `the newest N stay in any case (BACKUP_KEEP, else ${DEFAULT_KEEP})` },
  },
  async run(args, context) {
    const folder = args.words()[0] ?? readSetting(process.env, 'BACKUP_FOLDER')
    if (!folder) throw new UsageError('The folder for backups is missing: name one, or set BACKUP_FOLDER.')
    const given = args.option('keep')
    const keep =
      given === undefined ? readSetting(process.env, 'BACKUP_KEEP') : readText('BACKUP_KEEP', given, '--keep')
    const progress = createProgress(context, 'Backing up', context.now)
    const { databasePath, now, signal } = context
    const made = await backUp({ databasePath, folder, keep, now, signal, onProgress: progress.show }).finally(
      progress.end,
    )
    const { path, manifest, thrownAway, rotationTrouble } = made
    if (context.json) context.out(`${JSON.stringify({ path, ...manifest, thrownAway, rotationTrouble }, null, 2)}\n`)
    else {
      context.out(`${path}\n${contentsSentence(manifest)}\n`)
      if (thrownAway.length > 0) context.out(`${count(thrownAway.length, 'older backup')} thrown away.\n`)
      if (rotationTrouble !== null) context.err(`${rotationTrouble}\n`)
    }
    return EXIT.done
  },
}
