/** Links of owners: signed, for one house, until they end or are taken back; and a house that changes hands. */
import { expect, test } from 'vitest'
import { linkSignerOf, ownerAddress } from '../../server/people/ownerLinks.ts'
import { createSigner } from '../../server/people/signed.ts'
import { findHouse } from '../../server/store/houses.ts'
import { scratchDatabase } from '../support/database.ts'
import {
  AWAY,
  BIRCH,
  BOSS,
  DAY,
  HOME,
  MAPLE,
  PASSWORD,
  PUBLIC_URL,
  peopleDesk,
  refusal,
  secretOf,
} from '../support/peopleDesk.ts'

async function withOwner() {
  const made = peopleDesk({ publicUrl: `${PUBLIC_URL}/` })
  const boss = await made.begin()
  const owner = await made.join(boss.caller, 'Olive Owner', 'owner', [MAPLE, BIRCH])
  const { personId } = owner.caller
  const link = await made.desk.addLink(MAPLE, { personId, days: 30 }, boss.caller)
  return { ...made, boss, owner, personId, link, secret: secretOf(link.address) }
}

test('a link opens one house of its owner, is listed, and its session is marked', async () => {
  const { desk, who, link, secret, personId, clock } = await withOwner()
  expect(link.address).toBe(`${PUBLIC_URL}/owner#${secret}`)
  expect(secret).toMatch(/^[\w-]+\.[\w-]{43}$/)
  expect(await desk.links(MAPLE)).toMatchObject([{ id: link.id, house: MAPLE, personId, usedAt: null }])
  expect(await desk.links(BIRCH)).toEqual([])
  const entered = await desk.enter(secret, AWAY)
  expect(entered.caller).toMatchObject({ personId, role: 'owner', via: 'link', houses: new Set([MAPLE]) })
  expect(await who(entered)).toEqual(entered.caller)
  expect(entered.endsAt).toBe(clock.at + 30 * DAY)
  expect((await desk.links(MAPLE))[0]!.usedAt).toBe(clock.at)
  expect((await desk.sessions(personId)).map(({ viaLink }) => viaLink).sort()).toEqual([false, true])
})

test('nothing of a link can be changed, and none of another installation opens anything', async () => {
  const { desk, db, link, secret, boss, personId, clock } = await withOwner()
  const other = await desk.addLink(BIRCH, { personId, days: 300 }, boss.caller)
  const [words, signature] = secret.split('.') as [string, string]
  const [, otherSignature] = secretOf(other.address).split('.') as [string, string]
  const worded = (...of: (string | number)[]) => Buffer.from(JSON.stringify(of.map(String))).toString('base64url')
  const [end, otherEnd] = [clock.at + 30 * DAY, clock.at + 300 * DAY]
  expect(words).toBe(worded(link.id, end))
  const elsewhere = (await linkSignerOf(scratchDatabase())).sign({ id: link.id, endsAt: end })
  const flipped = `${signature[0] === 'A' ? 'B' : 'A'}${signature.slice(1)}`
  const signs = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_'
  // Of the last sign two bits carry nothing: this one stands for the same bytes.
  const alike = `${signature.slice(0, 42)}${signs[signs.indexOf(signature[42]!) + 1]}`
  expect(Buffer.from(alike, 'base64url')).toEqual(Buffer.from(signature, 'base64url'))
  const forged = {
    'another number': `${worded(other.id, end)}.${signature}`,
    'another end': `${worded(link.id, otherEnd)}.${signature}`,
    'a later end': `${worded(link.id, end + 1)}.${signature}`,
    'another signature': `${words}.${otherSignature}`,
    'a changed signature': `${words}.${flipped}`,
    'a signature written otherwise': `${words}.${alike}`,
    'no signature': `${words}.`,
    'a short signature': `${words}.${signature.slice(0, 42)}`,
    'the key of another installation': elsewhere,
    'what stops letters': (await createSigner(db)).sign('stop letters', [link.id, end]),
    'more behind it': `${secret}.x`,
    'a space before it': ` ${secret}`,
    nothing: '',
  }
  const answers = new Set<string>()
  for (const [what, made] of Object.entries(forged)) {
    const { code, message } = await refusal(desk.enter(made, AWAY))
    expect([what, code]).toEqual([what, 'BAD_LINK'])
    answers.add(message)
  }
  expect(answers.size).toBe(1)
  expect((await desk.enter(secret, AWAY)).caller.houses).toEqual(new Set([MAPLE]))
})

test('a link that was signed here for an end that its row does not have opens nothing', async () => {
  const { desk, db, link, clock } = await withOwner()
  const signer = await linkSignerOf(db)
  const longer = signer.sign({ id: link.id, endsAt: clock.at + 999 * DAY })
  expect((await refusal(desk.enter(longer, AWAY))).code).toBe('BAD_LINK')
  expect((await refusal(desk.enter(signer.sign({ id: 999, endsAt: clock.at + DAY }), AWAY))).code).toBe('BAD_LINK')
})

test('a link and its sessions end at its end, and when it is taken back; the others stay', async () => {
  const { desk, who, link, secret, boss, personId, owner, clock } = await withOwner()
  const second = await desk.addLink(MAPLE, { personId, days: 60 }, boss.caller)
  const [byFirst, bySecond] = [await desk.enter(secret, AWAY), await desk.enter(secretOf(second.address), AWAY)]
  expect(await desk.revokeLink(BIRCH, link.id, boss.caller)).toBe(false)
  expect(await desk.revokeLink(MAPLE, link.id, boss.caller)).toBe(true)
  expect(await desk.revokeLink(MAPLE, link.id, boss.caller)).toBe(false)
  expect(await who(byFirst)).toBeNull()
  expect((await refusal(desk.enter(secret, AWAY))).code).toBe('BAD_LINK')
  expect((await who(bySecond))?.via).toBe('link')
  expect((await who(owner))?.via).toBe('password')
  for (let day = 0; day < 50; day += 10) {
    clock.at += 10 * DAY
    await who(bySecond)
  }
  expect(await who(bySecond)).not.toBeNull()
  clock.at += 10 * DAY
  expect(await who(bySecond)).toBeNull()
  expect((await refusal(desk.enter(secretOf(second.address), AWAY))).code).toBe('BAD_LINK')
})

test('a link ends with the owner’s reach, role or account, and comes back with none of them', async () => {
  for (const [gone, back] of [
    [{ houses: [BIRCH] }, { houses: [MAPLE, BIRCH] }],
    [{ role: 'contractor' as const }, { role: 'owner' as const, houses: [MAPLE] }],
    [{ closed: true }, { closed: false }],
  ]) {
    const { desk, who, secret, boss, personId } = await withOwner()
    const entered = await desk.enter(secret, AWAY)
    await desk.changePerson(personId, gone!, boss.caller)
    expect(await who(entered)).toBeNull()
    expect((await refusal(desk.enter(secret, AWAY))).code).toBe('BAD_LINK')
    await desk.changePerson(personId, back!, boss.caller)
    expect(await who(entered)).toBeNull()
    expect((await refusal(desk.enter(secret, AWAY))).code).toBe('BAD_LINK')
  }
})

test('links are for owners of the house alone, and for so many days', async () => {
  const { desk, boss, join, personId } = await withOwner()
  const tess = await join(boss.caller, 'Tess Nician', 'technician', [MAPLE])
  const ask = (house: string, id: number, days = 30) =>
    refusal(desk.addLink(house, { personId: id, days }, boss.caller))
  expect((await ask(MAPLE, tess.caller.personId)).code).toBe('UNKNOWN_PERSON')
  expect((await ask('nowhere', personId)).code).toBe('UNKNOWN_HOUSE')
  for (const days of [0, -1, 1.5, 731, Number.NaN]) expect((await ask(MAPLE, personId, days)).where).toBe('days')
})

test('a link makes no token and changes no password: both would outlive it', async () => {
  const { desk, secret } = await withOwner()
  const { caller } = await desk.enter(secret, AWAY)
  expect((await refusal(desk.addToken(caller, { name: 'mine', scope: 'read', days: 365 }))).code).toBe('BAD_PERSON')
  const change = desk.changePassword(caller, { old: PASSWORD, password: 'eleven quiet cellar doors' }, AWAY)
  expect((await refusal(change)).code).toBe('SIGN_IN_REFUSED')
})

test('whoever tries links is slowed down; those that open something do not count', async () => {
  const { desk, secret } = await withOwner()
  for (let i = 0; i < 70; i++) await desk.enter(secret, AWAY)
  for (let i = 0; i < 60; i++) await refusal(desk.enter(`1.2.${'x'.repeat(43)}`, AWAY))
  expect((await refusal(desk.enter(secret, AWAY))).code).toBe('TOO_MANY')
  expect((await desk.enter(secret, HOME)).caller.via).toBe('link')
})

test('letters write the link again that lets its owner in for longest, and none that does not', async () => {
  const { desk, db, boss, personId, clock, link } = await withOwner()
  const houseId = (await findHouse(db, MAPLE))!.id
  const again = () => ownerAddress(db, { publicUrl: PUBLIC_URL, houseId, personId, now: clock.at })
  expect(await again()).toBe(link.address)
  const longer = await desk.addLink(MAPLE, { personId, days: 300 }, boss.caller)
  expect(await again()).toBe(longer.address)
  await desk.revokeLink(MAPLE, longer.id, boss.caller)
  expect(await again()).toBe(link.address)
  clock.at += 30 * DAY
  expect(await again()).toBeNull()
})

test('a house that is handed over: the old owners’ links, sessions by link, reach and letters end, nothing else does', async () => {
  const { desk, db, who, secret, boss, owner, personId, join, history, clock } = await withOwner()
  const spouse = await join(boss.caller, 'Sam Spouse', 'owner', [MAPLE])
  const tess = await join(boss.caller, 'Tess Nician', 'technician', [MAPLE])
  const byLink = await desk.enter(secret, AWAY)
  const birchLink = await desk.addLink(BIRCH, { personId, days: 30 }, boss.caller)
  const houseId = (await findHouse(db, MAPLE))!.id
  const insert = db.raw.prepare(
    `insert into letters (once_key, house_id, person_id, kind, to_address, to_name, message_id, subject, text, html, state,
     created_at, not_before_at) values (?, ?, ?, 'soon', '', '', ?, '', '', '', ?, 0, 0)`,
  )
  insert.run('a', houseId, personId, 'a', 'waiting')
  insert.run('b', houseId, personId, 'b', 'sent')
  db.raw.prepare(`insert into letters_stopped values (?, ?, 'soon', 0)`).run(personId, houseId)
  const before = history(MAPLE).length
  clock.at += DAY

  const { person, address } = await desk.handOver(MAPLE, { name: 'Newt Owner', email: 'Newt@example.com' }, boss.caller)
  expect(person).toMatchObject({ name: 'Newt Owner', email: 'newt@example.com', role: 'owner', houses: [MAPLE] })
  expect(await who(byLink)).toBeNull()
  expect((await refusal(desk.enter(secret, AWAY))).code).toBe('BAD_LINK')
  expect((await who(owner))?.houses).toEqual(new Set([BIRCH]))
  expect((await who(spouse))?.houses).toEqual(new Set())
  expect((await who(tess))?.houses).toEqual(new Set([MAPLE]))
  expect((await desk.enter(secretOf(birchLink.address), AWAY)).caller.houses).toEqual(new Set([BIRCH]))
  expect((await desk.enter(secretOf(address), HOME)).caller).toMatchObject({
    name: 'Newt Owner',
    houses: new Set([MAPLE]),
  })
  expect(db.raw.prepare('select once_key, state from letters order by 1').all()).toEqual([
    { once_key: 'a', state: 'not wanted' },
    { once_key: 'b', state: 'sent' },
  ])
  expect(db.raw.prepare('select count(*) from letters_stopped').pluck().get()).toBe(0)
  expect(history(MAPLE).slice(before)).toEqual(
    [
      ['took the house from the owner', 'Olive Owner'],
      ['took the house from the owner', 'Sam Spouse'],
      ['handed the house over to the owner', 'Newt Owner'],
    ].map(([act, subject]) => ({ at: clock.at, who: BOSS.name, what: `${act} ${subject}`, subject })),
  )
})

test('a house goes to somebody who owns another one already under their own name, and to nobody of the crew', async () => {
  const { desk, boss, join } = await withOwner()
  const otto = await join(boss.caller, 'Otto Owner', 'owner', [BIRCH])
  await join(boss.caller, 'Tess Nician', 'technician', [])
  const { person } = await desk.handOver(MAPLE, { name: 'Mr. Otto', email: 'otto@example.com' }, boss.caller)
  expect(person).toMatchObject({ id: otto.caller.personId, name: 'Otto Owner', houses: [BIRCH, MAPLE] })
  const give = (name: string, email: string, house: string = MAPLE) =>
    refusal(desk.handOver(house, { name, email }, boss.caller))
  expect((await give('Tess', 'tess@example.com')).code).toBe('EMAIL_TAKEN')
  expect((await give('Tess Nician', 'new@example.com')).where).toBe('name')
  expect((await give('Newt Owner', 'new@example.com', 'nowhere')).code).toBe('UNKNOWN_HOUSE')
  expect((await desk.people()).map(({ name }) => name)).not.toContain('Newt Owner')
})
