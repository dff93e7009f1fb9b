/** The watches over real air: a wall cavity of one winter, taken for a crawl space. */
import { existsSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { expect, test } from 'vitest'
import { tally } from '../../server/watch/replayTally.ts'
import { realHouses } from './realHouses.ts'
import { replayReal } from './replay.ts'

// TRH-database, house R1, CC BY 4.0. Too large to copy.
const DATA = fileURLToPath(new URL('../../../shared/data', import.meta.url))
const house = existsSync(DATA) ? realHouses(DATA).find(({ tree }) => tree.key === 'r1-wall-as-crawl') : undefined
if (house === undefined) console.warn('Real houses are not replayed: ../shared/data is not here.')

test.runIf(house)('a real winter of frosty nights and mild days is one matter, told of weekly', async () => {
  const replayed = await replayReal(house!)
  expect(replayed.notices.map(({ watch, urgency, body }) => [watch, urgency, body.overAt !== null])).toEqual([
    ['freezing', 'urgent', true],
  ])
  const [freezing] = replayed.notices
  // README of the data: outdoors down to -25.3 °C; the air of the cavity is a little warmer.
  expect(freezing!.body.numbers.tempLowestC).toBeLessThan(-20)
  expect(freezing!.body.numbers.tempLowestC).toBeGreaterThan(-25.3)
  // Opened, more urgent, after a day, and then each week; whoever acknowledges it hears every four weeks.
  expect(tally([replayed]).audiences.owner.mostIn30Days).toBeLessThanOrEqual(6)
})
