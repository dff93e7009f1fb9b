import { createReadStream, statSync } from 'node:fs'
import { basename } from 'node:path'
import { findHouse } from '../../store/houses.ts'
import { readHouse } from '../../store/readHouse.ts'
import { keptBalance } from '../../study/balance/balance.ts'
import { whatIfPage } from '../../study/balance/balanceWhatIfPage.ts'
import { whatIfInWorker } from '../../study/balance/balanceWorker.ts'
import { readTypicalYear, type TypicalYearFile } from '../../study/balance/typicalYear.ts'
import { parseColdSurface } from '../coldSurfaceWords.ts'
import { type Command, EXIT, InputRefused, UsageError } from '../command.ts'
import { withDatabase } from '../open.ts'
import { parseRemedy } from '../remedyWords.ts'
import { watched } from '../watched.ts'

export const whatif: Command = {
  name: 'whatif',
  usage: "HOUSE --remedy 'KIND[:SIZE]' [--remedy …] [--year FILE] [--cold-surface 'NAME:TEMP'] [--price USD]",
  about: [
    'What remedies would change in a house as it is now: humidity, wood, and what a dehumidifier would then have to take out.',
    'A remedy that a safety fact holds back is computed and marked as held, with what to record first. Sizes carry their unit:',
    'dehumidifier:33 is 33 liters a day, dehumidifier:50pints,65F,50%,2.1L/kWh was rated at 65 °F, holds 50 % RH and is that efficient by its label, "ground cover:95%", "vent fan:100cfm".',
  ].join('\n'),
  examples: [
    "whatif maple-hollow --remedy 'vents sealed' --remedy dehumidifier:33",
    'whatif maple-hollow --remedy encapsulation --year greensboro.epw',
    "whatif maple-hollow --remedy dehumidifier:70pints --cold-surface 'supply duct:inside 55F,R6' --price 0.16",
  ],
  options: {
    remedy: { type: 'string', multiple: true, value: 'KIND[:SIZE]', about: 'a remedy; may be given several times' },
    year: { type: 'string', value: 'FILE', about: 'weather of a typical year (EPW, TMY3) in place of the record' },
    'cold-surface': {
      type: 'string',
      value: 'NAME:TEMP',
      about: 'condensation is counted on it: "water pipe:54F", or "supply duct:inside 55F,R6"',
    },
    price: { type: 'string', value: 'USD', about: 'price of a kWh, for what the dehumidifier costs to run' },
    units: { type: 'string', value: 'us|si', about: 'units of the answer (us); JSON is always SI' },
  },
  run: (args, context) =>
    withDatabase(context, async ({ db }) => {
      const key = args.word(0, 'The house')
      const units = args.choice('units', ['us', 'si'], 'us')
      const remedies = args.options('remedy').map(parseRemedy)
      if (remedies.length === 0) throw new UsageError("--remedy is missing, such as --remedy 'vents sealed'.")
      const surface = args.option('cold-surface')
      const coldSurface = surface === undefined ? null : parseColdSurface(surface)
      const pricePerKwh = priceFrom(args.option('price'))
      const row = await findHouse(db, key)
      if (!row) throw new InputRefused(`There is no house "${key}". \`underjoist houses\` lists them.`)
      const path = args.option('year')
      const year = path === undefined ? null : await yearFrom(path, row.timeZone, context.now())
      await keptBalance(db, key) // brings hour values up to date
      const answer = await watched(context, 'What if', (control) =>
        whatIfInWorker(db, key, { remedies, year, coldSurface, ...pricePerKwh }, control),
      )
      const house = await readHouse(db, key)
      context.out(context.json ? `${JSON.stringify(answer, null, 2)}\n` : whatIfPage(house!, answer, units))
      return EXIT.done
    }),
}

function priceFrom(typed: string | undefined): { pricePerKwh?: number } {
  if (typed === undefined) return {}
  const pricePerKwh = typed.trim() === '' ? Number.NaN : Number(typed)
  if (pricePerKwh >= 0 && pricePerKwh <= 10) return { pricePerKwh }
  throw new UsageError(`--price takes dollars for a kWh, such as 0.16, not "${typed}".`)
}

async function yearFrom(path: string, timeZone: string, now: number): Promise<TypicalYearFile> {
  const sizeBytes = statSync(path, { throwIfNoEntry: false })?.size
  if (sizeBytes === undefined) throw new InputRefused(`There is no file ${path}.`)
  const source = { name: basename(path), open: () => createReadStream(path), sizeBytes }
  try {
    return await readTypicalYear(source, { timeZone, now })
  } catch (error) {
    if ((error as Error).name === 'YearRefused') throw new InputRefused((error as Error).message)
    throw error
  }
}
