import { listHouses } from '../../store/houses.ts'
import { type Command, EXIT } from '../command.ts'
import { withDatabase } from '../open.ts'

export const houses: Command = {
  name: 'houses',
  usage: '',
  about: 'Lists the houses in the database.',
  examples: ['houses', 'houses --json'],
  run: (_args, context) =>
    withDatabase(context, async ({ db }) => {
      const found = await listHouses(db)
      if (context.json) {
        context.out(`${JSON.stringify(found, null, 2)}\n`)
      } else if (found.length === 0) {
        context.out(
          'There is no house yet. `underjoist load DIR` brings a house folder in; `underjoist demo` shows one.\n',
        )
      } else {
        const width = Math.max(...found.map((house) => house.key.length))
        for (const house of found) {
          const mark = house.invented ? ' (invented)' : ''
          const place = house.place ? `, ${house.place}` : ''
          context.out(
            `${house.key.padEnd(width)}  ${house.name}${mark}${place}: ${house.spots} spots, ${house.works} works\n`,
          )
        }
      }
      return EXIT.done
    }),
}
