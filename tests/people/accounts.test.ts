/** What a contractor does about people, and what houses' histories say of it. */
import { expect, test } from 'vitest'
import {
  BIRCH,
  BOSS,
  HOME,
  MAPLE,
  OTHER_PASSWORD,
  PASSWORD,
  peopleDesk,
  refusal,
  secretOf,
} from '../support/peopleDesk.ts'

const TESS = { name: 'Tess Nician', email: 'tess@example.com', role: 'technician' as const, houses: [MAPLE] }

test('people are listed with role and houses, open accounts first', async () => {
  const { desk, begin, join } = peopleDesk()
  const { caller } = await begin()
  const zoe = await join(caller, 'zoe Owner', 'owner', [MAPLE, BIRCH])
  await desk.addPerson({ ...TESS, name: 'Abe Nician' }, caller)
  await desk.changePerson(zoe.caller.personId, { closed: true }, caller)
  expect(
    (await desk.people()).map(({ name, role, houses, hasPassword, closed }) => [
      name,
      role,
      houses,
      hasPassword,
      closed,
    ]),
  ).toEqual([
    ['Abe Nician', 'technician', [MAPLE], false, false],
    [BOSS.name, 'contractor', [], true, false],
    ['zoe Owner', 'owner', [BIRCH, MAPLE], true, true],
  ])
})

test('one person of an address and of a name, however they are written; a house must be there', async () => {
  const { desk, begin } = peopleDesk()
  const { caller } = await begin()
  await desk.addPerson(TESS, caller)
  const add = (asked: Partial<typeof TESS>) => refusal(desk.addPerson({ ...TESS, ...asked }, caller))
  expect(await add({ name: 'Another' })).toMatchObject({ code: 'EMAIL_TAKEN', where: 'email' })
  expect(await add({ name: 'Another', email: 'TESS@example.com' })).toMatchObject({ code: 'EMAIL_TAKEN' })
  expect(await add({ email: 'new@example.com' })).toMatchObject({ code: 'BAD_PERSON', where: 'name' })
  expect(await add({ name: 'tess  nician', email: 'new@example.com' })).toMatchObject({ where: 'name' })
  const nowhere = await add({ name: 'Another', email: 'new@example.com', houses: [MAPLE, 'nowhere'] as never })
  expect(nowhere).toMatchObject({ code: 'UNKNOWN_HOUSE', where: 'houses' })
  expect(nowhere.message).toContain('nowhere')
  expect(await add({ name: 'Another', email: 'new@example.com', role: 'boss' as never })).toMatchObject({
    where: 'role',
  })
  expect(await desk.people()).toHaveLength(2)
})

test('two who add the same address at once: one is there', async () => {
  const { desk, begin } = peopleDesk()
  const { caller } = await begin()
  const ends = await Promise.allSettled(
    ['One Name', 'Two Name'].map((name) => desk.addPerson({ ...TESS, name }, caller)),
  )
  expect(ends.map(({ status }) => status).sort()).toEqual(['fulfilled', 'rejected'])
})

test('a house’s history says who was given it and who lost it, by whom', async () => {
  const { desk, begin, history } = peopleDesk()
  const { caller } = await begin()
  const { person } = await desk.addPerson(TESS, 'the command line')
  await desk.changePerson(person.id, { houses: [MAPLE, BIRCH] }, caller)
  await desk.changePerson(person.id, { houses: [BIRCH] }, caller)
  await desk.changePerson(person.id, { houses: [BIRCH] }, caller)
  await desk.changePerson(person.id, { role: 'owner' }, caller)
  const link = await desk.addLink(BIRCH, { personId: person.id, days: 9 }, caller)
  await desk.revokeLink(BIRCH, link.id, caller)
  expect(history(MAPLE).map(({ who, what }) => [who, what])).toEqual([
    ['the command line', 'gave the house to the technician Tess Nician'],
    [BOSS.name, 'took the house from the technician Tess Nician'],
  ])
  expect(history(BIRCH).map(({ what }) => what)).toEqual([
    'gave the house to the technician Tess Nician',
    'took the house from the technician Tess Nician',
    'gave the house to the owner Tess Nician',
    'made a link for the owner Tess Nician',
    'took back the link of the owner Tess Nician',
  ])
})

test('a contractor reaches every house and is given none', async () => {
  const { desk, begin, history } = peopleDesk()
  const { caller } = await begin()
  const { person } = await desk.addPerson({ ...TESS, role: 'contractor' }, caller)
  expect(person.houses).toEqual([])
  expect(history(MAPLE)).toEqual([])
})

test('somebody with another name has it in the histories too', async () => {
  const { desk, begin, history, db } = peopleDesk()
  const { caller } = await begin()
  // Written before the account was made, by somebody who happened to be called alike.
  db.raw
    .prepare(`insert into history (house_id, at, who, what, subject) values (1, 5, ?, 'added a house', 'x')`)
    .run(BOSS.name)
  const { person } = await desk.addPerson(TESS, caller)
  await desk.changePerson(caller.personId, { name: 'Connie Tractor' }, caller)
  await desk.changePerson(person.id, { name: 'Tess Newname' }, { ...caller, name: 'Connie Tractor' })
  expect(history(MAPLE).map(({ who, what, subject }) => [who, what, subject])).toEqual([
    [BOSS.name, 'added a house', 'x'],
    ['Connie Tractor', 'gave the house to the technician Tess Newname', 'Tess Newname'],
  ])
  expect((await refusal(desk.changePerson(person.id, { name: 'connie tractor' }, caller))).where).toBe('name')
  expect((await desk.changePerson(person.id, { name: 'TESS Newname' }, caller)).name).toBe('TESS Newname')
})

test('the last contractor who can sign in is not closed, made something else, or deleted', async () => {
  const { desk, begin } = peopleDesk()
  const { caller } = await begin()
  const { personId } = caller
  const { person, invitation } = await desk.addPerson({ ...TESS, role: 'contractor', houses: [] }, caller)
  const tries = () => [
    desk.changePerson(personId, { closed: true }, caller),
    desk.changePerson(personId, { role: 'technician' }, caller),
    desk.deletePerson(personId, caller),
  ]
  // An invited contractor cannot sign in yet.
  for (const attempt of tries()) expect((await refusal(attempt)).code).toBe('LAST_CONTRACTOR')
  expect((await desk.people()).find(({ id }) => id === personId)).toMatchObject({ role: 'contractor', closed: false })
  await desk.setPassword({ code: secretOf(invitation), password: PASSWORD }, HOME)
  expect((await desk.changePerson(personId, { role: 'technician' }, caller)).role).toBe('technician')
  expect((await refusal(desk.deletePerson(person.id, caller))).code).toBe('LAST_CONTRACTOR')
})

test('two contractors who demote each other at once: one stays', async () => {
  const { desk, begin, join } = peopleDesk()
  const { caller } = await begin()
  const other = await join(caller, 'Ann Other', 'contractor')
  const ends = await Promise.allSettled([
    desk.changePerson(caller.personId, { role: 'technician' }, other.caller),
    desk.changePerson(other.caller.personId, { closed: true }, caller),
  ])
  expect(ends.map(({ status }) => status).sort()).toEqual(['fulfilled', 'rejected'])
  expect(await desk.begun()).toBe(true)
})

test('closing ends every way in, and what comes back with opening is the password alone', async () => {
  const { desk, begin, join, letters } = peopleDesk()
  const { caller } = await begin()
  const tess = await join(caller, 'Tess Nician', 'technician', [MAPLE])
  const { token } = await desk.addToken(tess.caller, { name: 'script', scope: 'read', days: 9 })
  const { invitation } = await desk.inviteAgain(tess.caller.personId)
  await desk.changePerson(tess.caller.personId, { closed: true }, caller)
  const { length } = letters
  expect((await refusal(desk.inviteAgain(tess.caller.personId))).code).toBe('BAD_PERSON')
  expect(letters).toHaveLength(length)
  for (const open of [false, true]) {
    if (open) await desk.changePerson(tess.caller.personId, { closed: false }, caller)
    expect(await desk.identify({ bearer: token })).toBeNull()
    const setting = desk.setPassword({ code: secretOf(invitation), password: OTHER_PASSWORD }, HOME)
    expect((await refusal(setting)).code).toBe('BAD_CODE')
  }
  expect((await desk.signIn({ email: TESS.email, password: PASSWORD }, HOME)).caller.houses).toEqual(new Set([MAPLE]))
})

test('somebody who is not there is nobody', async () => {
  const { desk, begin } = peopleDesk()
  const { caller } = await begin()
  for (const attempt of [
    desk.changePerson(99, { name: 'Some Body' }, caller),
    desk.inviteAgain(99),
    desk.exportPerson(99),
    desk.deletePerson(99, caller),
    desk.addToken({ ...caller, personId: 99 }, { name: 'script', scope: 'read', days: 1 }),
  ]) {
    expect((await refusal(attempt)).code).toBe('UNKNOWN_PERSON')
  }
})
