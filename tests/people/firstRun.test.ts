/** The first code lets one person in, once. */
import { expect, test } from 'vitest'
import { newFirstCode, sameCode } from '../../server/people/firstRun.ts'
import { readFirm } from '../../server/store/firm.ts'
import { BOSS, FIRM, HOME, HOUR, PASSWORD, peopleDesk, refusal } from '../support/peopleDesk.ts'

test('a code is readable, never twice the same, and known however it is typed', () => {
  const codes = Array.from({ length: 200 }, newFirstCode)
  expect(new Set(codes).size).toBe(200)
  for (const code of codes) expect(code).toMatch(/^([2-9A-HJ-NP-Z]{4}-){2}[2-9A-HJ-NP-Z]{4}$/)
  expect(sameCode('7kqf m2xd pw4t', '7KQF-M2XD-PW4T')).toBe(true)
  expect(sameCode('7kqf m2xd pw4u', '7KQF-M2XD-PW4T')).toBe(false)
  expect(sameCode('', '7KQF-M2XD-PW4T')).toBe(false)
})

test('the first code makes the firm and its contractor, and is worth nothing afterwards', async () => {
  const { desk, db, begin } = peopleDesk()
  const code = (await desk.firstCode())!
  expect(await desk.begun()).toBe(false)
  const { caller, secret } = await begin()
  expect(caller).toMatchObject({ ...BOSS, role: 'contractor', houses: 'all', via: 'password', scope: 'write' })
  expect(await desk.identify({ cookie: secret })).toEqual(caller)
  expect(await readFirm(db)).toMatchObject({ name: FIRM })
  expect(await desk.begun()).toBe(true)
  expect(await desk.firstCode()).toBeNull()
  const again = { code, firm: FIRM, name: 'Ann Other', email: 'other@example.com', password: PASSWORD }
  expect((await refusal(desk.begin(again, HOME))).code).toBe('BAD_CODE')
})

test('another start has another code', async () => {
  expect(await peopleDesk().desk.firstCode()).not.toBe(await peopleDesk().desk.firstCode())
})

test('two who have the code at once: one firm', async () => {
  const { desk } = peopleDesk()
  const code = (await desk.firstCode())!
  const asked = { code, firm: FIRM, password: PASSWORD }
  const ends = await Promise.allSettled([
    desk.begin({ ...asked, name: 'One First', email: 'one@example.com' }, HOME),
    desk.begin({ ...asked, name: 'Two First', email: 'two@example.com' }, HOME),
  ])
  expect(ends.map(({ status }) => status).sort()).toEqual(['fulfilled', 'rejected'])
  expect(await desk.people()).toHaveLength(1)
})

test('whoever guesses the code is slowed down, wherever they come from', async () => {
  const { desk, clock, begin } = peopleDesk()
  const asked = { code: 'AAAA-AAAA-AAAA', firm: FIRM, ...BOSS, password: PASSWORD }
  for (let i = 0; i < 10; i++) {
    expect((await refusal(desk.begin(asked, { ...HOME, address: `192.0.2.${i}` }))).code).toBe('BAD_CODE')
  }
  const { code, retryAfterS } = await refusal(desk.begin(asked, { ...HOME, address: '192.0.2.99' }))
  expect([code, retryAfterS]).toEqual(['TOO_MANY', 60])
  clock.at += HOUR
  expect((await begin()).caller.role).toBe('contractor')
})

test('a weak password and a bad address are refused before anything is made', async () => {
  const { desk } = peopleDesk()
  const asked = { code: (await desk.firstCode())!, firm: FIRM, ...BOSS, password: PASSWORD }
  expect(await refusal(desk.begin({ ...asked, password: 'Drainage-Con-24' }, HOME))).toMatchObject({
    code: 'WEAK_PASSWORD',
    where: 'password',
  })
  expect(await refusal(desk.begin({ ...asked, email: 'con' }, HOME))).toMatchObject({
    code: 'BAD_PERSON',
    where: 'email',
  })
  expect(await refusal(desk.begin({ ...asked, firm: ' ' }, HOME))).toMatchObject({ code: 'BAD_PERSON', where: 'firm' })
  expect(await desk.people()).toEqual([])
})
