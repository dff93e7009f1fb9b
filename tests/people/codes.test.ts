/** Codes that set a password: invitations and forgotten passwords. */
import { expect, test } from 'vitest'
import {
  AWAY,
  BOSS,
  DAY,
  HOME,
  HOUR,
  MAPLE,
  MINUTE,
  OTHER_PASSWORD,
  PASSWORD,
  PUBLIC_URL,
  peopleDesk,
  refusal,
  secretOf,
} from '../support/peopleDesk.ts'

const TESS = { name: 'Tess Nician', email: 'tess@example.com', role: 'technician' as const, houses: [MAPLE] }

test('an invitation is handed over and mailed; it sets a password once, within 7 days', async () => {
  const { desk, begin, letters, clock, db } = peopleDesk()
  const { caller } = await begin()
  const { person, invitation } = await desk.addPerson(TESS, caller)
  expect(person).toMatchObject({ ...TESS, hasPassword: false, closed: false })
  expect(invitation.startsWith(`${PUBLIC_URL}/password#`)).toBe(true)
  const code = secretOf(invitation)
  expect(Buffer.from(code, 'base64url')).toHaveLength(32)
  expect(JSON.stringify(db.raw.prepare('select * from person_codes').all())).not.toContain(code)
  expect(letters.map(({ to, kind }) => [to, kind])).toEqual([[TESS.email, 'invitation']])
  expect(letters[0]!.text).toContain(invitation)

  clock.at += 7 * DAY - 1
  const signedIn = await desk.setPassword({ code, password: PASSWORD }, HOME)
  expect(signedIn.caller).toMatchObject({ name: TESS.name, role: 'technician', houses: new Set([MAPLE]) })
  expect((await refusal(desk.setPassword({ code, password: OTHER_PASSWORD }, HOME))).code).toBe('BAD_CODE')
  expect((await desk.signIn({ email: TESS.email, password: PASSWORD }, HOME)).caller.personId).toBe(person.id)
})

test('an invitation whose time is over, or that a newer one replaced, sets nothing', async () => {
  const { desk, begin, clock } = peopleDesk()
  const { caller } = await begin()
  const { person, invitation } = await desk.addPerson(TESS, caller)
  const newer = await desk.inviteAgain(person.id)
  expect((await refusal(desk.setPassword({ code: secretOf(invitation), password: PASSWORD }, HOME))).code).toBe(
    'BAD_CODE',
  )
  clock.at += 7 * DAY
  const late = desk.setPassword({ code: secretOf(newer.invitation), password: PASSWORD }, HOME)
  expect((await refusal(late)).code).toBe('BAD_CODE')
})

test('two who use one code at once: one wins, and one session is there', async () => {
  const { desk, begin } = peopleDesk()
  const { caller } = await begin()
  const { person, invitation } = await desk.addPerson(TESS, caller)
  const ends = await Promise.allSettled(
    [PASSWORD, OTHER_PASSWORD].map((password) => desk.setPassword({ code: secretOf(invitation), password }, HOME)),
  )
  expect(ends.map(({ status }) => status).sort()).toEqual(['fulfilled', 'rejected'])
  expect(await desk.sessions(person.id)).toHaveLength(1)
  const winner = ends[0]!.status === 'fulfilled' ? PASSWORD : OTHER_PASSWORD
  const loser = winner === PASSWORD ? OTHER_PASSWORD : PASSWORD
  expect((await refusal(desk.signIn({ email: TESS.email, password: loser }, HOME))).code).toBe('SIGN_IN_REFUSED')
  expect((await desk.signIn({ email: TESS.email, password: winner }, HOME)).caller.personId).toBe(person.id)
})

test('a weak password leaves the code good for another try', async () => {
  const { desk, begin } = peopleDesk()
  const { invitation } = await desk.addPerson(TESS, (await begin()).caller)
  const code = secretOf(invitation)
  expect((await refusal(desk.setPassword({ code, password: 'Tess-Nician-2025' }, HOME))).code).toBe('WEAK_PASSWORD')
  expect((await desk.setPassword({ code, password: PASSWORD }, HOME)).caller.name).toBe(TESS.name)
})

test('a forgotten password: a letter to the address that is kept, good for an hour, and every session ends', async () => {
  const { desk, begin, letters, who, clock } = peopleDesk()
  const old = await begin()
  const tess = secretOf((await desk.addPerson(TESS, old.caller)).invitation)
  letters.length = 0
  await desk.forgotPassword(' CON@EXAMPLE.COM', AWAY)
  await desk.forgotPassword(BOSS.email, AWAY)
  expect(letters.map(({ to, kind }) => [to, kind])).toEqual([
    [BOSS.email, 'forgotten password'],
    [BOSS.email, 'forgotten password'],
  ])
  const codes = letters.map(({ text }) => /\/password#(\S+)/.exec(text)![1]!)
  clock.at += HOUR - 1
  const set = await desk.setPassword({ code: codes[0]!, password: OTHER_PASSWORD }, AWAY)
  expect(await who(old)).toBeNull()
  expect((await who(set))?.name).toBe(BOSS.name)
  // The one that crossed it on its way is worth nothing any more; somebody else's is.
  expect((await refusal(desk.setPassword({ code: codes[1]!, password: PASSWORD }, AWAY))).code).toBe('BAD_CODE')
  expect((await desk.setPassword({ code: tess, password: PASSWORD }, HOME)).caller.name).toBe(TESS.name)

  await desk.forgotPassword(BOSS.email, AWAY)
  clock.at += HOUR
  const late = /\/password#(\S+)/.exec(letters.at(-1)!.text)![1]!
  expect((await refusal(desk.setPassword({ code: late, password: PASSWORD }, AWAY))).code).toBe('BAD_CODE')
})

test('asking for a new password answers alike whether there is an account, and waits alike', async () => {
  const { desk, begin, join, letters, waits, work } = peopleDesk()
  const { caller } = await begin()
  const gone = await join(caller, 'Gone Already', 'technician')
  await desk.changePerson(gone.caller.personId, { closed: true }, caller)
  letters.length = 0
  const before = { ...work }
  const answers = []
  for (const email of [BOSS.email, 'nobody@example.com', 'gone@example.com', 'no address']) {
    answers.push(await desk.forgotPassword(email, AWAY))
  }
  expect(answers).toEqual([undefined, undefined, undefined, undefined])
  expect(waits).toEqual([400, 400, 400, 400])
  expect(work).toEqual(before)
  expect(letters.map(({ to }) => to)).toEqual([BOSS.email])
})

test('nobody is sent more than three such letters at once, and nobody learns of it', async () => {
  const { desk, begin, letters, clock } = peopleDesk()
  await begin()
  for (let i = 0; i < 8; i++) await desk.forgotPassword(BOSS.email, { ...AWAY, address: `198.51.100.${i}` })
  expect(letters).toHaveLength(3)
  clock.at += 20 * MINUTE
  await desk.forgotPassword(BOSS.email, AWAY)
  expect(letters).toHaveLength(4)
})

test('an address that asks for one password after the other is slowed down', async () => {
  const { desk } = peopleDesk()
  for (let i = 0; i < 10; i++) await desk.forgotPassword(`person${i}@example.com`, AWAY)
  expect((await refusal(desk.forgotPassword('one-more@example.com', AWAY))).code).toBe('TOO_MANY')
})

test('an address that tries codes is slowed down; good codes do not count', async () => {
  const { desk, begin } = peopleDesk()
  const { invitation } = await desk.addPerson(TESS, (await begin()).caller)
  for (let i = 0; i < 20; i++) {
    expect((await refusal(desk.setPassword({ code: `made up ${i}`, password: PASSWORD }, AWAY))).code).toBe('BAD_CODE')
  }
  const asked = { code: secretOf(invitation), password: PASSWORD }
  expect((await refusal(desk.setPassword(asked, AWAY))).code).toBe('TOO_MANY')
  expect((await desk.setPassword(asked, HOME)).caller.name).toBe(TESS.name)
})

test('where no letters go out, a forgotten password makes no code that nobody would get', async () => {
  const { desk, begin, db } = peopleDesk({ mail: false })
  const { caller } = await begin()
  await desk.forgotPassword(BOSS.email, AWAY)
  expect(db.raw.prepare('select count(*) from person_codes').pluck().get()).toBe(0)
  expect(secretOf((await desk.addPerson(TESS, caller)).invitation)).toHaveLength(43)
})
