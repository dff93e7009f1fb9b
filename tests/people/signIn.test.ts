/** Signing in by password: who gets in, what nobody learns, and how guessing is slowed down. */
import { expect, test } from 'vitest'
import { AWAY, BOSS, DAY, HOME, MINUTE, PASSWORD, peopleDesk, refusal } from '../support/peopleDesk.ts'

const signIn = (email: string, password: string) => ({ email, password })

test('an address is known in capitals and with spaces around it, the password as it is typed', async () => {
  const { desk, begin } = peopleDesk()
  await begin()
  expect((await desk.signIn(signIn(' CON@Example.com ', PASSWORD), HOME)).caller.email).toBe(BOSS.email)
  expect((await refusal(desk.signIn(signIn(BOSS.email, PASSWORD.toUpperCase()), HOME))).code).toBe('SIGN_IN_REFUSED')
  expect((await refusal(desk.signIn(signIn(BOSS.email, `${PASSWORD} `), HOME))).code).toBe('SIGN_IN_REFUSED')
})

test('nobody, a wrong password, no password yet, a closed account, a bad address: one sentence and the same work', async () => {
  const { desk, begin, join, work } = peopleDesk()
  const { caller } = await begin()
  await desk.addPerson({ name: 'New Comer', email: 'new@example.com', role: 'technician', houses: [] }, caller)
  const gone = await join(caller, 'Gone Already', 'technician')
  await desk.changePerson(gone.caller.personId, { closed: true }, caller)
  const answers = []
  for (const [email, password] of [
    ['nobody@example.com', PASSWORD],
    [BOSS.email, 'not this one at all'],
    ['new@example.com', PASSWORD],
    ['gone@example.com', PASSWORD],
    ['not an address', PASSWORD],
    ['', ''],
  ] as const) {
    const before = { ...work }
    const { code, message, hint, where } = await refusal(desk.signIn(signIn(email, password), HOME))
    answers.push({
      code,
      message,
      hint,
      where,
      compared: work.compared - before.compared,
      hashes: work.hashes - before.hashes,
    })
  }
  expect(new Set(answers.map((answer) => JSON.stringify(answer))).size).toBe(1)
  expect(answers[0]).toMatchObject({ code: 'SIGN_IN_REFUSED', where: null, compared: 1, hashes: 0 })
})

test('a sign-in has a secret of its own and is listed with where it came from', async () => {
  const { desk, begin, db } = peopleDesk()
  const first = await begin()
  const second = await desk.signIn(signIn(BOSS.email, PASSWORD), { ...AWAY, agent: 'x'.repeat(5000) })
  expect(second.secret).not.toBe(first.secret)
  expect(Buffer.from(second.secret, 'base64url')).toHaveLength(32)
  const rows = await desk.sessions(first.caller.personId)
  expect(rows.map(({ address, agent, viaLink }) => [address, agent.length, viaLink])).toEqual([
    [AWAY.address, 200, false],
    [HOME.address, HOME.agent.length, false],
  ])
  const kept = JSON.stringify(db.raw.prepare('select * from sessions').all())
  expect(kept).not.toContain(first.secret)
  expect(kept).not.toContain(second.secret)
})

test('an account is slowed down whether it is there or not, and the right password waits as well', async () => {
  for (const email of [BOSS.email, 'nobody@example.com']) {
    const { desk, begin, clock } = peopleDesk()
    await begin()
    for (let i = 0; i < 10; i++) {
      const from = { ...AWAY, address: `198.51.100.${i}` }
      expect((await refusal(desk.signIn(signIn(email, 'not this one at all'), from))).code).toBe('SIGN_IN_REFUSED')
    }
    const elsewhere = { ...AWAY, address: '198.51.100.77' }
    const late = await refusal(desk.signIn(signIn(email, PASSWORD), elsewhere))
    expect([late.code, late.retryAfterS]).toEqual(['TOO_MANY', 300])
    expect(late.message).not.toContain(email)
    clock.at += 5 * MINUTE
    const then = desk.signIn(signIn(email, PASSWORD), elsewhere)
    if (email === BOSS.email) expect((await then).caller.email).toBe(email)
    else expect((await refusal(then)).code).toBe('SIGN_IN_REFUSED')
  }
})

test('strangers who guess do not keep somebody out where they are signed in already', async () => {
  const { desk, begin } = peopleDesk()
  await begin()
  for (let i = 0; i < 12; i++) {
    await refusal(desk.signIn(signIn(BOSS.email, 'not this one at all'), { ...AWAY, address: `198.51.100.${i}` }))
  }
  expect((await desk.signIn(signIn(BOSS.email, PASSWORD), HOME)).caller.email).toBe(BOSS.email)
})

test('an address is slowed down over all accounts, an IPv6 subscriber as one', async () => {
  for (const addressOf of [() => '198.51.100.4', (i: number) => `2001:db8:1:2:${i.toString(16)}::1`]) {
    const { desk, work } = peopleDesk()
    for (let i = 0; i < 30; i++) {
      await refusal(desk.signIn(signIn(`person${i}@example.com`, PASSWORD), { ...AWAY, address: addressOf(i) }))
    }
    const { compared } = work
    const late = await refusal(
      desk.signIn(signIn('one-more@example.com', PASSWORD), { ...AWAY, address: addressOf(40) }),
    )
    expect([late.code, late.retryAfterS, late.hint]).toEqual(['TOO_MANY', 10, 'Try again in 10 seconds.'])
    expect(work.compared).toBe(compared) // turned away before the slow hash
    expect((await refusal(desk.signIn(signIn('one-more@example.com', PASSWORD), HOME))).code).toBe('SIGN_IN_REFUSED')
  }
})

test('guesses sent at once are counted before any of them is compared', async () => {
  const { desk, begin, work } = peopleDesk()
  await begin()
  const before = work.compared
  const guesses = Array.from({ length: 25 }, () =>
    refusal(desk.signIn(signIn(BOSS.email, 'not this one at all'), AWAY)),
  )
  const codes = (await Promise.all(guesses)).map(({ code }) => code)
  expect(codes.filter((code) => code === 'SIGN_IN_REFUSED')).toHaveLength(10)
  expect(work.compared - before).toBe(10)
})

test('signing in rightly many times a day is not counted', async () => {
  const { desk, begin, clock } = peopleDesk()
  await begin()
  for (let i = 0; i < 40; i++) await desk.signIn(signIn(BOSS.email, PASSWORD), AWAY)
  clock.at += DAY
  expect((await desk.sessions(1)).length).toBe(41)
})
