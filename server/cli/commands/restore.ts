import { restore as restoreBackup } from '../../files/restore.ts'
import { type Command, EXIT } from '../command.ts'
import { contentsSentence } from '../contentsWords.ts'
import { createProgress } from '../progress.ts'

export const restore: Command = {
  name: 'restore',
  usage: 'BACKUP --db NEW',
  about:
    'Puts a backup into an empty place: NEW must not be there yet. Every file is compared with what was written, before and after. A backup of an older version is brought up when it is first opened.',
  examples: ['restore /mnt/backups/2026-03-01T04-05-06Z --db restored/underjoist.db'],
  async run(args, context) {
    const from = args.word(0, 'The folder of the backup')
    const progress = createProgress(context, 'Restoring', context.now)
    const { databasePath, signal } = context
    const manifest = await restoreBackup({ backup: from, databasePath, signal, onProgress: progress.show }).finally(
      progress.end,
    )
    if (context.json) context.out(`${JSON.stringify({ restoredTo: databasePath, ...manifest }, null, 2)}\n`)
    else
      context.out(
        `Restored to ${databasePath}, as of ${new Date(manifest.at).toISOString()}.\n${contentsSentence(manifest)}\n`,
      )
    return EXIT.done
  },
}
