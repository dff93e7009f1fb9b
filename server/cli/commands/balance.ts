import { balanceOf } from '../../study/balance/balance.ts'
import { balancePage } from '../../study/balance/balancePage.ts'
import { makeBalanceInWorker } from '../../study/balance/balanceWorker.ts'
import { readHouseRecord } from '../../study/houseRecord.ts'
import { type Command, EXIT, InputRefused } from '../command.ts'
import { withDatabase } from '../open.ts'
import { watched } from '../watched.ts'

export const balance: Command = {
  name: 'balance',
  usage: 'HOUSE [--units us|si]',
  about:
    'The moisture balance of a house: did the work do it, where the water comes from, what it would take, and what all that rests on. Made once and kept until something it rests on changes.',
  examples: ['balance maple-hollow', 'balance maple-hollow --units si', 'balance maple-hollow --json'],
  options: { units: { type: 'string', value: 'us|si', about: 'units of the answer (us); JSON is always SI' } },
  run: (args, context) =>
    withDatabase(context, async ({ db }) => {
      const key = args.word(0, 'The house')
      const units = args.choice('units', ['us', 'si'], 'us')
      const made = await watched(context, 'Balance', (control) =>
        balanceOf(db, key, { now: context.now, make: (houseKey) => makeBalanceInWorker(db, houseKey, control) }),
      )
      const house = await readHouseRecord(db, key)
      if (!made || !house) throw new InputRefused(`There is no house "${key}". \`underjoist houses\` lists them.`)
      context.out(context.json ? `${JSON.stringify(made.answer, null, 2)}\n` : balancePage(house, made.answer, units))
      return EXIT.done
    }),
}
