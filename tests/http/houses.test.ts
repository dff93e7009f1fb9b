/** A house entered, corrected and put back over HTTP; the round; sizing. */
import { expect, test } from 'vitest'
import type { ServiceParts } from '../../server/cli/runService.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import { madeReadings, swing } from '../support/series.ts'
import { scratchService, settled } from '../support/service.ts'
import { storeTestHouse, TEST_HOUSE } from '../support/studiedHouse.ts'

const NOW = Date.UTC(2026, 5, 1)
const HOUSE = '/api/houses/test-house'

const read = async ({ app }: ServiceParts): Promise<{ house: HouseTree; version: string }> =>
  (await app.inject(HOUSE)).json()

async function change(parts: ServiceParts, next: (house: HouseTree) => HouseTree, version?: string) {
  const present = await read(parts)
  const payload = { house: next(present.house), version: version ?? present.version, what: 'a test' }
  return parts.app.inject({ method: 'PUT', url: HOUSE, payload })
}

async function withHouse(): Promise<ServiceParts> {
  const parts = await scratchService(() => NOW)
  const added = await parts.app.inject({ method: 'POST', url: '/api/houses', payload: { house: TEST_HOUSE } })
  expect(added.statusCode).toBe(201)
  return parts
}

const DRAIN = { key: 'drain', kind: 'yard drain' as const, from: '2026-04-01' }

test('every kind of change is stored, told in the history, and undone to the very same house', async () => {
  const changes: [what: string, next: (house: HouseTree) => HouseTree, word: RegExp][] = [
    ['a work', (house) => ({ ...house, works: [DRAIN] }), /works \/ drain: added/],
    ['a fact', (house) => ({ ...house, facts: { gradeAtWall: 'falls toward' } }), /facts \/ gradeAtWall: added/],
    [
      'a safety fact',
      (house) => ({ ...house, safety: { ...house.safety, floodZone: 'yes' } }),
      /safety \/ floodZone: not looked at → yes/,
    ],
    ['a name', (house) => ({ ...house, name: 'Another name' }), /name: Invented house → Another name/],
    [
      'a spot',
      (house) => ({
        ...house,
        spaces: house.spaces.map((space, i) =>
          i === 0 ? { ...space, spots: [...space.spots, { key: 'far', name: 'Far corner' }] } : space,
        ),
      }),
      /spots \/ far: added/,
    ],
    [
      'an event',
      (house) => ({ ...house, events: [{ kind: 'visit', from: '2026-04-02T10:00' }] }),
      /events \/ visit 2026-04-02T10:00: added/,
    ],
    [
      'a correction',
      (house) => ({
        ...house,
        corrections: [{ probe: 'l1/air', quantity: 'rhPct', offset: -2, from: '2026-01-01', why: 'salt check' }],
      }),
      /corrections \/ .*: added/,
    ],
    [
      'a logger that hangs nowhere',
      (house) => ({
        ...house,
        loggers: [...house.loggers!, { key: 'spare', probes: [{ key: 'air', placements: [] }] }],
      }),
      /loggers \/ spare: added/,
    ],
  ]
  for (const [what, next, word] of changes) {
    const parts = await withHouse()
    const before = await read(parts)
    expect((await change(parts, next)).statusCode, what).toBe(200)
    const { entries } = (await parts.app.inject(`${HOUSE}/history`)).json()
    expect(entries[0].changes.join('\n'), what).toMatch(word)
    const undone = await parts.app.inject({ method: 'POST', url: `${HOUSE}/history/${entries[0].id}/undo` })
    expect(undone.statusCode, `${what}: ${undone.body}`).toBe(200)
    expect((await read(parts)).house, what).toEqual(before.house)
    const again = (await parts.app.inject(`${HOUSE}/history`)).json().entries
    expect([again[0].what, again[0].undo, again[1].undo], what).toEqual(['undid: a test', 'possible', 'undone'])
  }
})

test('what was changed again since cannot be undone over somebody’s head', async () => {
  const parts = await withHouse()
  await change(parts, (house) => ({ ...house, works: [DRAIN] }))
  await change(parts, (house) => ({ ...house, works: [{ ...DRAIN, from: '2026-04-05' }] }))
  const { entries } = (await parts.app.inject(`${HOUSE}/history`)).json()
  const undone = await parts.app.inject({ method: 'POST', url: `${HOUSE}/history/${entries[1].id}/undo` })
  expect([undone.statusCode, undone.json().code]).toEqual([409, 'CANNOT_UNDO'])
  expect((await read(parts)).house.works).toMatchObject([{ from: '2026-04-05' }])
})

test('of two who read the same house the second is told, and nothing of the first is lost', async () => {
  const parts = await withHouse()
  const { version } = await read(parts)
  expect((await change(parts, (house) => ({ ...house, place: 'First town' }), version)).statusCode).toBe(200)
  const second = await change(parts, (house) => ({ ...house, place: 'Second town' }), version)
  expect([second.statusCode, second.json().code]).toEqual([409, 'CHANGED_MEANWHILE'])
  expect((await read(parts)).house.place).toBe('First town')
})

test.each([
  ['a date that does not exist', { works: [{ ...DRAIN, from: '2026-02-30' }] }, '/works/0/from'],
  ['an end before its start', { works: [{ ...DRAIN, to: '2026-03-01' }] }, '/works/0/to'],
  [
    'a placement over another',
    {
      loggers: [
        {
          key: 'l1',
          probes: [
            {
              key: 'air',
              placements: [
                { spot: 'crawl/low', from: '2023-01-01' },
                { spot: 'crawl/mid', from: '2023-06-01' },
              ],
            },
          ],
        },
      ],
    },
    '/loggers/0/probes/0/placements/1',
  ],
  [
    'a spot that is not there',
    { loggers: [{ key: 'l1', probes: [{ key: 'air', placements: [{ spot: 'crawl/none', from: '2023-01-01' }] }] }] },
    '/loggers/0/probes/0/placements/0/spot',
  ],
  ['a field nobody knows', { colour: 'red' }, '/colour'],
])('%s is refused at its field, and the house stays', async (_, wrong, path) => {
  const parts = await withHouse()
  const before = await read(parts)
  const refused = await change(parts, (house) => ({ ...house, ...(wrong as object) }) as HouseTree)
  expect([refused.statusCode, refused.json().code]).toEqual([422, 'BAD_HOUSE'])
  expect(refused.json().problems.map((one: { path: string }) => one.path)).toContain(path)
  expect((await read(parts)).house).toEqual(before.house)
})

test('a logger that still hangs in another house is refused there, and may come when its placement has ended', async () => {
  const parts = await withHouse()
  const other = {
    ...TEST_HOUSE,
    key: 'other',
    name: 'Other house',
    loggers: [{ key: 'l1', probes: [{ key: 'air', placements: [{ spot: 'crawl/low', from: '2026-05-01' }] }] }],
  }
  const add = () => parts.app.inject({ method: 'POST', url: '/api/houses', payload: { house: other } })
  const refused = await add()
  expect([refused.statusCode, refused.json().problems[0].problem]).toEqual([
    422,
    expect.stringContaining('"test-house"'),
  ])
  await change(parts, (house) => ({
    ...house,
    loggers: house.loggers!.map((logger) =>
      logger.key === 'l1'
        ? {
            ...logger,
            probes: [{ key: 'air', placements: [{ spot: 'crawl/low', from: '2023-01-01', to: '2026-04-30' }] }],
          }
        : logger,
    ),
  }))
  expect((await add()).statusCode).toBe(201)
  expect((await read(parts)).house.loggers!.find(({ key }) => key === 'l1')!.probes[0]!.placements).toMatchObject([
    { to: '2026-04-30' },
  ])
})

test('a key that is taken is refused', async () => {
  const parts = await withHouse()
  const again = await parts.app.inject({ method: 'POST', url: '/api/houses', payload: { house: TEST_HOUSE } })
  expect([again.statusCode, again.json().code]).toEqual([409, 'KEY_TAKEN'])
})

test('the round puts those that need somebody first, each with one line why', async () => {
  const parts = await scratchService(() => NOW)
  const span = { from: NOW - 30 * 86_400_000, to: NOW, everyMs: 1_800_000 }
  const air = (rhPct: number) => ({ 'l1/air': madeReadings({ ...span, tempC: swing(18, 1), rhPct: swing(rhPct, 2) }) })
  const named = (key: string, logger: string): HouseTree => ({
    ...TEST_HOUSE,
    key,
    name: key,
    invented: false,
    loggers: [{ key: logger, probes: [{ key: 'air', placements: [{ spot: 'crawl/low', from: '2023-01-01' }] }] }],
    spaces: [{ ...TEST_HOUSE.spaces[0]!, spots: [{ key: 'low', name: 'Low corner' }] }],
  })
  await storeTestHouse(parts.db, named('dry', 'd1'), { 'd1/air': air(45)['l1/air'] })
  await storeTestHouse(parts.db, named('wet', 'w1'), { 'w1/air': air(97)['l1/air'] })
  await storeTestHouse(parts.db, named('quiet', 'q1'), {
    'q1/air': madeReadings({ ...span, to: NOW - 5 * 86_400_000, tempC: swing(18, 1), rhPct: swing(45, 2) }),
  })
  await storeTestHouse(parts.db, named('empty', 'e1'), {})
  for (const key of ['dry', 'wet', 'quiet', 'empty']) await settled(parts.app, `/api/houses/${key}/page`)
  const { houses } = (await parts.app.inject('/api/round')).json()
  expect(houses.map(({ key, standing }: { key: string; standing: string }) => [key, standing])).toEqual([
    ['wet', expect.stringMatching(/act|look/)],
    ['quiet', 'silent'],
    ['dry', 'fine'],
    ['empty', 'no readings'],
  ])
  expect(houses[0].line).toContain('Low corner')
  expect(houses[1].line).toContain('the whole house')
})

test('sizing answers the trade’s worked load, and sealing is held until somebody has looked', async () => {
  const { app } = await scratchService()
  // Trade practice, as quoted in server/sizing: 4,500 ft³ at 30 grains/lb is 33 pints a day per air change an hour.
  const dehumidifier = {
    floorAreaM2: 139.35,
    heightM: 0.9144,
    changesPerHour: 1,
    sealedChangesPerHour: 0.3,
    outdoorTempC: 26.7,
    outdoorRhPct: 65,
    heldTempC: 21.1,
    heldRhPct: 55,
    coverShare: 1,
    bareGroundLPerM2Day: 0,
    litersPerKwh: 1.6,
    pricePerKwh: 0.15,
    safety: { floodZone: 'not looked at', combustionAppliances: 'no', radonTest: 'not looked at' },
  }
  const drain = {
    surfaces: [{ areaM2: 100, coefficient: 0.95 }],
    rainMmPerHour: 100,
    lengthM: 20,
    fallM: 0.4,
    manningN: 0.011,
  }
  const { dehumidifier: sized, drain: pipe } = (
    await app.inject({ method: 'POST', url: '/api/sizing', payload: { dehumidifier, drain } })
  ).json()
  const gramsPerLb = (sized.byPath.outdoorAir / 0.473176 / 33) * 30 // grains/lb that the answer stands for
  expect(gramsPerLb).toBeGreaterThan(35)
  expect(gramsPerLb).toBeLessThan(42) // 80 °F 65 % holds 99.6 grains/lb, 70 °F 55 % about 60
  expect(sized.codeFloorLPerDay).toBeCloseTo(105 * 0.473176, 1) // 70 pints a day for each 1,000 ft², 1,500 ft²
  expect(sized.holdsOnSealing.map(({ topic }: { topic: string }) => topic)).toContain('flood zone')
  expect(pipe).toMatchObject({ slope: 0.02, diameterIn: expect.any(Number) })
  const refused = await app.inject({
    method: 'POST',
    url: '/api/sizing',
    payload: { drain: { ...drain, lengthM: -1 } },
  })
  expect(refused.json()).toMatchObject({ code: 'BAD_REQUEST', where: 'body/drain/lengthM' })
})

test('the document of all addresses names every one that the pages ask', async () => {
  const { app } = await scratchService()
  const { openapi, paths } = (await app.inject('/api/openapi.json')).json()
  expect(openapi).toMatch(/^3\.1/)
  for (const path of [
    '/api/round',
    '/api/houses/{id}',
    '/api/houses/{id}/page',
    '/api/houses/{id}/record',
    '/api/houses/{id}/files',
    '/api/sizing',
  ]) {
    expect(Object.keys(paths)).toContain(path)
  }
})
