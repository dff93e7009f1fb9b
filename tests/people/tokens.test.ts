/** Tokens for programs: shown once, narrowed, over after a while. */
import { expect, test } from 'vitest'
import { DAY, MAPLE, MINUTE, peopleDesk, refusal } from '../support/peopleDesk.ts'

test('a token shows its person with its scope, and is kept as a hash alone', async () => {
  const { desk, db, begin, join, clock } = peopleDesk()
  const { caller } = await begin()
  const tess = await join(caller, 'Tess Nician', 'technician', [MAPLE])
  const { id, token } = await desk.addToken(tess.caller, { name: ' nightly import ', scope: 'readings', days: 30 })
  expect(token).toMatch(/^ujt_[\w-]{43}$/)
  expect(JSON.stringify(db.raw.prepare('select * from api_tokens').all())).not.toContain(token.slice(4))
  expect(await desk.identify({ bearer: token })).toEqual({
    ...tess.caller,
    via: 'token',
    scope: 'readings',
    sessionId: null,
  })
  expect(await desk.identify({ cookie: token })).toBeNull()
  expect(await desk.tokens(tess.caller.personId)).toEqual([
    {
      id,
      name: 'nightly import',
      scope: 'readings',
      createdAt: clock.at,
      endsAt: clock.at + 30 * DAY,
      usedAt: clock.at,
    },
  ])
})

test('a token lets nobody in once it is over or revoked, by its owner alone', async () => {
  const { desk, begin, join, clock } = peopleDesk()
  const { caller } = await begin()
  const tess = await join(caller, 'Tess Nician', 'technician', [])
  const asked = { name: 'script', scope: 'write' as const, days: 1 }
  const [one, two] = [await desk.addToken(caller, asked), await desk.addToken(caller, asked)]
  expect(await desk.revokeToken(tess.caller.personId, one.id)).toBe(false)
  expect(await desk.revokeToken(caller.personId, one.id)).toBe(true)
  expect(await desk.revokeToken(caller.personId, one.id)).toBe(false)
  expect(await desk.identify({ bearer: one.token })).toBeNull()
  clock.at += DAY - 1
  expect((await desk.identify({ bearer: two.token }))?.houses).toBe('all')
  clock.at += 1
  expect(await desk.identify({ bearer: two.token })).toBeNull()
  expect((await desk.tokens(caller.personId)).map(({ id }) => id)).toEqual([two.id]) // its owner sees why it stopped
})

test('when a token was used is written once a minute at most', async () => {
  const { desk, db, begin, clock } = peopleDesk()
  const { token } = await desk.addToken((await begin()).caller, { name: 'script', scope: 'read', days: 1 })
  const writes = () => db.raw.prepare('select total_changes()').pluck().get() as number
  const before = writes()
  for (let i = 0; i < 5; i++) await desk.identify({ bearer: token })
  expect(writes()).toBe(before + 1)
  clock.at += MINUTE
  for (let i = 0; i < 5; i++) await desk.identify({ bearer: token })
  expect(writes()).toBe(before + 2)
})

test('name, scope, days and number of tokens have bounds', async () => {
  const { desk, begin } = peopleDesk()
  const { caller } = await begin()
  const asked = { name: 'script', scope: 'read' as const, days: 365 }
  for (const days of [0, 366, 2.5]) {
    expect((await refusal(desk.addToken(caller, { ...asked, days }))).where).toBe('days')
  }
  expect((await refusal(desk.addToken(caller, { ...asked, name: '\u0007' }))).where).toBe('name')
  expect((await refusal(desk.addToken(caller, { ...asked, scope: 'all' as never }))).where).toBe('scope')
  for (let i = 0; i < 50; i++) await desk.addToken(caller, asked)
  expect((await refusal(desk.addToken(caller, asked))).message).toContain('50')
  await desk.revokeToken(caller.personId, 1)
  expect((await desk.addToken(caller, asked)).token).toMatch(/^ujt_/)
})
