import { checkDatabase } from '../../store/check.ts'
import { rebuiltHourRows } from '../../store/hourly.ts'
import { refreshHourly } from '../../store/refreshHourly.ts'
import { backupStanding, standingSentence } from '../backups.ts'
import { type Command, EXIT } from '../command.ts'
import { withDatabase } from '../open.ts'
import { count } from '../words.ts'

export const check: Command = {
  name: 'check',
  usage: '',
  about:
    'Reads the whole database: is the file sound, does everything point to something, do hour values agree with readings; and when it was last backed up.',
  examples: ['check', 'check --db backup.db'],
  run: (_args, context) =>
    withDatabase(context, async ({ db }) => {
      await refreshHourly(db, undefined, context.signal) // marks reach over the edge of what is due, so nothing may be due
      const report = await checkDatabase(db, rebuiltHourRows(db))
      const backup = await backupStanding(db)
      if (context.json) context.out(`${JSON.stringify({ ...report, backup }, null, 2)}\n`)
      else {
        const seen = `${count(report.readings, 'reading')} of ${count(report.probes, 'probe')}, ${count(report.hours, 'hour')}`
        context.out(report.problems.length === 0 ? `Sound: ${seen}.\n` : `${report.problems.join('\n')}\n`)
        context.out(`${standingSentence(backup, context.now())}\n`)
      }
      return report.problems.length === 0 ? EXIT.done : EXIT.damaged
    }),
}
