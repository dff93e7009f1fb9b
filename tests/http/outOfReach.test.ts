/** Who reaches some houses alone enters one of them: by naming what is another's they neither read it nor take it along. */
import { expect, test } from 'vitest'
import type { HouseTree, LoggerTree } from '../../server/store/houseTree.ts'
import { filesForm } from '../support/service.ts'
import { OTHER_HOUSE, OWN_HOUSE, type SignedInService, signedInService, type Who } from '../support/signedIn.ts'

const NOW = Date.UTC(2026, 5, 1)
const OWN = `/api/houses/${OWN_HOUSE}`

/** The own house as it is, changed by somebody. */
async function enter({ as }: SignedInService, who: Who, next: (house: HouseTree) => HouseTree) {
  const { house, version } = (await as('contractor')(OWN)).json()
  return as(who)({ method: 'PUT', url: OWN, payload: { house: next(house), version, what: 'a test' } })
}

async function moveAway({ as }: SignedInService): Promise<void> {
  const to = { house: OTHER_HOUSE, probes: [{ probe: 'air', spot: 'crawl/mid' }], at: '2026-05-20T10:00' }
  const placed = await as('contractor')({ method: 'POST', url: '/api/loggers/own-l1/place', payload: to })
  expect(placed.statusCode, placed.body).toBe(200)
}

const withLogger = (house: HouseTree, logger: LoggerTree): HouseTree => ({
  ...house,
  loggers: [...(house.loggers ?? []), logger],
})

test('a house takes nothing along of a house that whoever enters it does not reach', async () => {
  const service = await signedInService({ now: () => NOW })
  const [technician, contractor] = [service.as('technician'), service.as('contractor')]
  const picture = filesForm([{ name: 'a.jpg', bytes: Buffer.from([0xff, 0xd8, 0xff, 0x01]) }])
  const { hash } = (await contractor({ method: 'POST', url: '/api/loggers/other-l1/photo', ...picture })).json()
  const hill = { key: 'other-hill', name: 'Theirs', kind: 'file', quantities: ['tempC'] }
  await contractor({ method: 'POST', url: '/api/stations', payload: hill })
  await contractor({ method: 'PUT', url: `/api/stations/other-hill/houses/${OTHER_HOUSE}` })
  const mediaType = 'image/jpeg' as const
  const long = [{ spot: 'crawl/mid', from: '2020-01-01', to: '2020-02-01' }]
  const naming: [string, (house: HouseTree) => HouseTree, string][] = [
    ['a logger', (house) => withLogger(house, { key: 'other-l1', probes: [] }), '/loggers/'],
    [
      'its past',
      (house) => withLogger(house, { key: 'other-l1', probes: [{ key: 'air', placements: long }] }),
      '/loggers/',
    ],
    ['the logger of a station', (house) => withLogger(house, { key: 'station.other-hill', probes: [] }), '/loggers/'],
    [
      'a station',
      (house) => ({ ...house, stations: [{ key: 'other-hill', name: 'Mine', kind: 'file', quantities: [] }] }),
      '/stations/',
    ],
    ['a photo', (house) => ({ ...house, photos: [...(house.photos ?? []), { hash, mediaType }] }), '/photos/'],
  ]
  const { house: theirs } = (await contractor(`/api/houses/${OTHER_HOUSE}`)).json()
  for (const [what, next, path] of naming) {
    const answer = await enter(service, 'technician', next)
    expect([what, answer.statusCode, answer.json().code]).toEqual([what, 422, 'BAD_HOUSE'])
    expect(answer.json().where).toContain(path)
    expect(answer.body).not.toContain(OTHER_HOUSE)
  }
  for (const asked of ['/api/loggers/other-l1', `/api/photos/${hash}`]) {
    expect((await technician(asked)).statusCode, asked).toBe(404)
  }
  expect((await contractor(`/api/houses/${OTHER_HOUSE}`)).json().house).toEqual(theirs)
  // A new one and those of the house itself are nobody else's; a contractor may do all of it.
  const fresh = await enter(service, 'technician', (house) => withLogger(house, { key: 'own-l9', probes: [] }))
  expect(fresh.statusCode, fresh.body).toBe(200)
  const all = await enter(service, 'contractor', (house) =>
    naming.filter(([what]) => !what.includes('logger')).reduce((h, [, f]) => f(h), house),
  )
  expect(all.statusCode, all.body).toBe(200)
  expect((await technician(`/api/photos/${hash}`)).statusCode).toBe(200)
})

test('who brings back a former state of a house takes no logger back from where it hangs now', async () => {
  const service = await signedInService({ now: () => NOW })
  const technician = service.as('technician')
  const without = (house: HouseTree): HouseTree => ({
    ...house,
    loggers: house.loggers!.filter(({ key }) => key !== 'own-l1'),
  })
  // Ended first, so that its times here and there never overlap.
  const ended = (house: HouseTree): HouseTree => ({
    ...house,
    loggers: house.loggers!.map((logger) => ({
      ...logger,
      probes: logger.probes.map((probe) => ({
        ...probe,
        placements: probe.placements.map((one) => ({ ...one, to: '2026-05-01' })),
      })),
    })),
  })
  expect((await enter(service, 'technician', ended)).statusCode).toBe(200)
  expect((await enter(service, 'technician', without)).statusCode).toBe(200)
  await moveAway(service)
  const { entries } = (await technician(`${OWN}/history`)).json()
  const { id } = entries.find(({ what }: { what: string }) => what === 'a test')
  const undone = await technician({ method: 'POST', url: `${OWN}/history/${id}/undo` })
  expect([undone.statusCode, undone.json().code]).toEqual([409, 'CANNOT_UNDO'])
  expect(undone.body).not.toContain(OTHER_HOUSE)
  expect((await technician('/api/loggers/own-l1')).statusCode).toBe(404)
})

test('of a logger that moved on, a house keeps where it hung, and changes nothing of what went along', async () => {
  const service = await signedInService({ now: () => NOW })
  await moveAway(service)
  const wet = { probe: 'own-l1/air', quantity: 'rhPct' as const, offset: 20, from: '2026-05-21', why: 'a guess' }
  const l1 = (house: HouseTree, change: (logger: LoggerTree) => LoggerTree): HouseTree => ({
    ...house,
    loggers: house.loggers!.map((logger) => (logger.key === 'own-l1' ? change(logger) : logger)),
  })
  for (const next of [
    (house: HouseTree) => ({ ...house, corrections: [...(house.corrections ?? []), wet] }),
    (house: HouseTree) => l1(house, (logger) => ({ ...logger, name: 'Mine' })),
    (house: HouseTree) =>
      l1(house, (logger) => ({ ...logger, probes: [...logger.probes, { key: 'wood', placements: [] }] })),
  ]) {
    const answer = await enter(service, 'technician', next)
    expect([answer.statusCode, answer.json().where]).toEqual([422, '/loggers'])
  }
  // Longer than it hung there: where it is now is not told.
  const longer = await enter(service, 'technician', (house) =>
    l1(house, (logger) => ({
      ...logger,
      probes: logger.probes.map((probe) => ({
        ...probe,
        placements: probe.placements.map(({ to: _, ...rest }) => rest),
      })),
    })),
  )
  expect(longer.statusCode).toBe(422)
  expect(longer.body).toContain('hangs in another house')
  expect(longer.body).not.toContain(OTHER_HOUSE)
  const untouched = await enter(service, 'technician', (house) => ({
    ...house,
    works: [{ key: 'drain', kind: 'yard drain', from: '2026-04-01' }],
  }))
  expect(untouched.statusCode, untouched.body).toBe(200)
})
