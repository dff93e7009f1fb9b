import { readHouse } from '../../store/readHouse.ts'
import { findingsOf } from '../../study/findings.ts'
import { findingsPage } from '../../study/page.ts'
import { type Command, EXIT, InputRefused } from '../command.ts'
import { withDatabase } from '../open.ts'

export const findings: Command = {
  name: 'findings',
  usage: 'HOUSE [--units us|si]',
  about:
    'What the record of a house carries: sentences with their numbers, and what is missing where it cannot be told.',
  examples: ['findings maple-hollow', 'findings maple-hollow --units si', 'findings maple-hollow --json'],
  options: { units: { type: 'string', value: 'us|si', about: 'units of the answer (us); JSON is always SI' } },
  run: (args, context) =>
    withDatabase(context, async ({ db }) => {
      const key = args.word(0, 'The house')
      const units = args.choice('units', ['us', 'si'], 'us')
      const found = await findingsOf(db, key, { now: context.now() })
      const house = await readHouse(db, key)
      if (!found || !house) throw new InputRefused(`There is no house "${key}". \`underjoist houses\` lists them.`)
      context.out(context.json ? `${JSON.stringify(found, null, 2)}\n` : findingsPage(house, found, units))
      return EXIT.done
    }),
}
