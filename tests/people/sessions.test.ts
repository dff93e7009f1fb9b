/** How long a session lets somebody in, and every way in which it ends. */
import { expect, test } from 'vitest'
import {
  AWAY,
  BIRCH,
  BOSS,
  DAY,
  HOME,
  MAPLE,
  MINUTE,
  OTHER_PASSWORD,
  PASSWORD,
  peopleDesk,
  refusal,
} from '../support/peopleDesk.ts'

const again = { email: BOSS.email, password: PASSWORD }

test('a session that nobody uses for 14 days is over, and one in use after 60', async () => {
  const { desk, begin, who, clock } = peopleDesk()
  const idle = await begin()
  const used = await desk.signIn(again, AWAY)
  const began = clock.at
  expect(used.endsAt).toBe(began + 60 * DAY)
  for (let day = 10; day < 60; day += 10) {
    clock.at = began + day * DAY
    expect(await who(used)).not.toBeNull()
  }
  expect(await who(idle)).toBeNull()
  expect(await desk.sessions(used.caller.personId)).toHaveLength(1)
  clock.at = began + 60 * DAY
  expect(await who(used)).toBeNull()
  expect(await desk.sessions(used.caller.personId)).toEqual([])
})

test('an idle session ends to the millisecond', async () => {
  const { begin, who, clock } = peopleDesk()
  const signedIn = await begin()
  const began = clock.at
  clock.at = began + 14 * DAY
  expect(await who(signedIn)).toBeNull()
  clock.at = began + 14 * DAY - 1
  expect(await who(signedIn)).not.toBeNull()
})

test('when somebody was seen is written once a minute at most', async () => {
  const { desk, begin, who, clock, db } = peopleDesk()
  const signedIn = await begin()
  const began = clock.at
  const writes = () => db.raw.prepare('select total_changes()').pluck().get() as number
  const before = writes()
  for (const ms of [0, 10_000, MINUTE - 1]) {
    clock.at = began + ms
    await who(signedIn)
  }
  expect(writes()).toBe(before)
  clock.at = began + MINUTE
  await who(signedIn)
  await who(signedIn)
  expect(writes()).toBe(before + 1)
  expect((await desk.sessions(signedIn.caller.personId))[0]!.seenAt).toBe(clock.at)
})

test('no secret, a made-up one and the hash of a real one show nobody', async () => {
  const { desk, begin, db } = peopleDesk()
  await begin()
  const hash = db.raw.prepare('select secret_hash from sessions').pluck().get() as string
  for (const shown of [
    {},
    { cookie: '' },
    { cookie: 'a'.repeat(43) },
    { cookie: hash },
    { bearer: 'ujt_' },
    { bearer: hash },
  ]) {
    expect(await desk.identify(shown)).toBeNull()
  }
})

test('a session is ended by signing out, from the list, or with all others; never one of somebody else', async () => {
  const { desk, begin, join, who } = peopleDesk()
  const first = await begin()
  const [second, third] = [await desk.signIn(again, AWAY), await desk.signIn(again, AWAY)]
  const tess = await join(first.caller, 'Tess Nician', 'technician', [MAPLE])
  const { personId } = first.caller
  expect(await desk.endSession(personId, tess.caller.sessionId!)).toBe(false)
  expect(await desk.endSession(personId, second.caller.sessionId!)).toBe(true)
  expect(await desk.endSession(personId, second.caller.sessionId!)).toBe(false)
  expect(await desk.endOtherSessions(third.caller)).toBe(1)
  expect([await who(first), await who(second), (await who(third))?.name]).toEqual([null, null, BOSS.name])
  await desk.signOut(third.caller.sessionId!)
  expect(await who(third)).toBeNull()
  expect((await who(tess))?.name).toBe('Tess Nician')
})

test('a new password ends every session and begins one', async () => {
  const { desk, begin, who } = peopleDesk()
  const first = await begin()
  const second = await desk.signIn(again, AWAY)
  const changed = await desk.changePassword(second.caller, { old: PASSWORD, password: OTHER_PASSWORD }, AWAY)
  expect([await who(first), await who(second)]).toEqual([null, null])
  expect(await who(changed)).toEqual(changed.caller)
  expect((await refusal(desk.signIn(again, HOME))).code).toBe('SIGN_IN_REFUSED')
  expect((await desk.signIn({ ...again, password: OTHER_PASSWORD }, HOME)).caller.email).toBe(BOSS.email)
})

test('the old password is needed for a new one, guessing it is slowed down, and a weak one changes nothing', async () => {
  const { desk, begin, who } = peopleDesk()
  const first = await begin()
  const change = (old: string, password: string) => desk.changePassword(first.caller, { old, password }, HOME)
  expect((await refusal(change(PASSWORD, 'too short'))).code).toBe('WEAK_PASSWORD')
  for (let i = 0; i < 10; i++) {
    expect(await refusal(change('not this one at all', OTHER_PASSWORD))).toMatchObject({
      code: 'SIGN_IN_REFUSED',
      where: 'old',
    })
  }
  expect((await refusal(change(PASSWORD, OTHER_PASSWORD))).code).toBe('TOO_MANY')
  expect((await who(first))?.name).toBe(BOSS.name)
})

test('two changes at once from the same old password: one wins', async () => {
  const { desk, begin } = peopleDesk()
  const { caller } = await begin()
  const ends = await Promise.allSettled(
    [OTHER_PASSWORD, 'eleven quiet cellar doors'].map((password) =>
      desk.changePassword(caller, { old: PASSWORD, password }, HOME),
    ),
  )
  expect(ends.map(({ status }) => status).sort()).toEqual(['fulfilled', 'rejected'])
  expect(await desk.sessions(caller.personId)).toHaveLength(1)
})

test('reach and role are looked at for every request', async () => {
  const { desk, begin, join, who } = peopleDesk()
  const boss = await begin()
  const tess = await join(boss.caller, 'Tess Nician', 'technician', [MAPLE])
  const { personId } = tess.caller
  expect((await who(tess))?.houses).toEqual(new Set([MAPLE]))
  await desk.changePerson(personId, { houses: [BIRCH] }, boss.caller)
  expect((await who(tess))?.houses).toEqual(new Set([BIRCH]))
  await desk.changePerson(personId, { role: 'contractor' }, boss.caller)
  expect(await who(tess)).toMatchObject({ role: 'contractor', houses: 'all' })
  await desk.changePerson(personId, { closed: true }, boss.caller)
  expect(await who(tess)).toBeNull()
  await desk.changePerson(personId, { closed: false }, boss.caller)
  expect(await who(tess)).toBeNull() // opening an account opens no old session
})

test('a person keeps the 50 sessions seen last', async () => {
  const { desk, begin, who } = peopleDesk()
  const first = await begin()
  for (let i = 0; i < 50; i++) await desk.signIn(again, AWAY)
  expect(await desk.sessions(first.caller.personId)).toHaveLength(50)
  expect(await who(first)).toBeNull()
})
