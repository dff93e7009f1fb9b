/** People, their accounts and the links of owners over HTTP: what each can do, and what stops at once when it ends. */
import { expect, test } from 'vitest'
import { codeOf, OTHER_HOUSE, OWN_HOUSE, PASSWORD, PEOPLE, signedInService } from '../support/signedIn.ts'

const NEW = { name: 'Nora New', email: 'nora@example.com', role: 'technician', houses: [OWN_HOUSE] }
const ANOTHER = 'another set of joists'

test('somebody is invited, chooses a password, is given another house, closed out, and let in again', async () => {
  const { as } = await signedInService()
  const contractor = as('contractor')
  const added = await contractor({ method: 'POST', url: '/api/people', payload: NEW })
  expect(added.statusCode).toBe(201)
  expect(added.headers['cache-control']).toBe('no-store')
  const { person, invitation } = added.json()
  expect(person).toMatchObject({ ...NEW, hasPassword: false, closed: false })
  expect(invitation).toMatch(/^https:\/\/under\.example\/password#./)

  const choose = (code: string, password: string) =>
    as('nobody')({ method: 'POST', url: '/api/sign-in/password', payload: { code, password } })
  const weak = await choose(codeOf(invitation), 'password1234')
  expect([weak.statusCode, weak.json().code, weak.json().where]).toEqual([422, 'WEAK_PASSWORD', 'body/password'])
  const chosen = await choose(codeOf(invitation), ANOTHER)
  expect(chosen.statusCode).toBe(200)
  const headers = { cookie: `${chosen.cookies[0]!.name}=${chosen.cookies[0]!.value}` }
  expect((await choose(codeOf(invitation), ANOTHER)).json().code).toBe('BAD_CODE')

  const reaches = async () => {
    const answer = await as('nobody')({ url: '/api/round', headers })
    return answer.statusCode === 200 ? answer.json().houses.map(({ key }: { key: string }) => key) : answer.statusCode
  }
  const change = (payload: object) => contractor({ method: 'PATCH', url: `/api/people/${person.id}`, payload })
  expect(await reaches()).toEqual([OWN_HOUSE])
  expect((await change({ houses: [OTHER_HOUSE] })).json()).toMatchObject({ houses: [OTHER_HOUSE] })
  expect(await reaches()).toEqual([OTHER_HOUSE])
  expect((await change({ houses: ['no-such-house'] })).json().code).toBe('UNKNOWN_HOUSE')
  expect((await change({ closed: true })).json()).toMatchObject({ closed: true })
  expect(await reaches()).toBe(401)
  expect((await change({ closed: false })).json()).toMatchObject({ closed: false })
  const again = await contractor({ method: 'POST', url: `/api/people/${person.id}/invitation` })
  expect((await choose(codeOf(again.json().invitation), PASSWORD)).statusCode).toBe(200)
})

test('what is kept about a person is told, and deleted, and the last contractor stays', async () => {
  const { as, id } = await signedInService()
  const contractor = as('contractor')
  const kept = await contractor(`/api/people/${id('technician')}/export`)
  expect(kept.headers['content-disposition']).toContain('attachment')
  expect(kept.body).toContain(PEOPLE.technician.email)
  expect(kept.body).not.toMatch(/argon2|secretHash|secret_hash/)
  const own = await as('technician')('/api/account/export')
  expect(own.body).toContain(PEOPLE.technician.email)

  expect((await contractor({ method: 'DELETE', url: `/api/people/${id('technician')}` })).statusCode).toBe(204)
  expect((await as('technician')('/api/round')).statusCode).toBe(401)
  expect((await contractor('/api/people')).body).not.toContain(PEOPLE.technician.email)
  const gone = await contractor({ method: 'DELETE', url: `/api/people/${id('technician')}` })
  expect([gone.statusCode, gone.json().code]).toEqual([404, 'UNKNOWN_PERSON'])
  const last = await contractor({ method: 'DELETE', url: `/api/people/${id('contractor')}` })
  expect([last.statusCode, last.json().code]).toEqual([409, 'LAST_CONTRACTOR'])
  const twice = await contractor({ method: 'POST', url: '/api/people', payload: { ...NEW, email: PEOPLE.owner.email } })
  expect([twice.statusCode, twice.json().code, twice.json().where]).toEqual([409, 'EMAIL_TAKEN', 'body/email'])
})

test('a changed password leaves this browser signed in, by another secret, and no other', async () => {
  const { as } = await signedInService()
  const signIn = (password: string) =>
    as('nobody')({ method: 'POST', url: '/api/sign-in', payload: { email: PEOPLE.owner.email, password } })
  const other = await signIn(PASSWORD)
  const change = (old: string, password: string) =>
    as('owner')({ method: 'POST', url: '/api/account/password', payload: { old, password } })
  const wrong = await change('not the old one', ANOTHER)
  expect([wrong.json().code, wrong.json().where]).toEqual(['SIGN_IN_REFUSED', 'body/old'])
  const changed = await change(PASSWORD, ANOTHER)
  expect(changed.statusCode).toBe(204)
  const caller = async ({ name, value }: { name: string; value: string }) =>
    (await as('nobody')({ url: '/api/sign-in', headers: { cookie: `${name}=${value}` } })).json().caller?.name ?? null
  expect(await caller(changed.cookies[0]!)).toBe('Olive Owner')
  expect(await caller(other.cookies[0]!)).toBe(null)
  expect((await as('owner')('/api/account/sessions')).statusCode).toBe(401)
  expect((await signIn(PASSWORD)).statusCode).toBe(401)
  expect((await signIn(ANOTHER)).statusCode).toBe(200)
})

test('a token is shown once, does what its scope says, reaches no account, and stops when it is revoked', async () => {
  const { as, parts } = await signedInService()
  const technician = as('technician')
  const added = await technician({
    method: 'POST',
    url: '/api/account/tokens',
    payload: { name: 'gateway', scope: 'read', days: 30 },
  })
  const { id, token } = added.json()
  const listed = await technician('/api/account/tokens')
  expect(listed.json().tokens).toMatchObject([{ id, name: 'gateway', scope: 'read', usedAt: null }])
  expect(listed.body).not.toContain(token)
  const ask = (url: string) => parts.app.inject({ url, headers: { authorization: `Bearer ${token}` } })
  expect((await ask('/api/round')).statusCode).toBe(200)
  expect((await ask('/api/account/tokens')).json().code).toBe('NOT_ALLOWED')
  expect((await as('owner')({ method: 'DELETE', url: `/api/account/tokens/${id}` })).statusCode).toBe(404)
  expect((await technician({ method: 'DELETE', url: `/api/account/tokens/${id}` })).statusCode).toBe(204)
  expect((await ask('/api/round')).statusCode).toBe(401)
})

test('a link is made, opens the house, and is taken back; a hand-over ends all that the old owner had', async () => {
  const { as, id, parts } = await signedInService()
  const contractor = as('contractor')
  const house = `/api/houses/${OWN_HOUSE}`
  const made = await contractor({ method: 'POST', url: `${house}/links`, payload: { personId: id('owner'), days: 30 } })
  expect(made.json().address).toMatch(/^https:\/\/under\.example\/owner#./)
  const open = (address: string) =>
    as('nobody')({ method: 'POST', url: '/api/sign-in/link', payload: { link: codeOf(address) } })
  const opened = await open(made.json().address)
  expect(opened.statusCode).toBe(200)
  const { name, value } = opened.cookies[0]!
  const record = (key: string) =>
    parts.app.inject({ url: `/api/houses/${key}/record`, headers: { cookie: `${name}=${value}` } })
  expect((await record(OWN_HOUSE)).statusCode).toBe(200)
  expect((await record(OTHER_HOUSE)).json().code).toBe('UNKNOWN_HOUSE')

  const { links, people } = (await contractor(`${house}/people`)).json()
  expect(people.map((person: { name: string }) => person.name).sort()).toEqual(['Olive Owner', 'Tess Nician'])
  expect(links).toMatchObject([{ id: made.json().id, personId: id('owner') }])
  expect((await contractor({ method: 'DELETE', url: `${house}/links/${links[0].id}` })).statusCode).toBe(204)
  expect((await record(OWN_HOUSE)).statusCode).toBe(401)
  expect((await open(made.json().address)).json().code).toBe('BAD_LINK')
  const twice = await contractor({ method: 'DELETE', url: `${house}/links/${links[0].id}` })
  expect([twice.statusCode, twice.json().code]).toEqual([404, 'UNKNOWN_PERSON'])

  const payload = { name: 'Nia Newowner', email: 'nia@example.com' }
  const handed = await contractor({ method: 'POST', url: `${house}/owner`, payload })
  expect(handed.json().person).toMatchObject({ ...payload, role: 'owner', houses: [OWN_HOUSE] })
  expect((await open(handed.json().address)).statusCode).toBe(200)
  expect((await as('owner')(`${house}/record`)).statusCode).not.toBe(200)
  const after = (await contractor(`${house}/people`)).json().people
  expect(after.map((person: { name: string }) => person.name).sort()).toEqual(['Nia Newowner', 'Tess Nician'])
})

test('people are for contractors alone', async () => {
  const { as, id, withToken } = await signedInService()
  const asked = [
    ['GET', '/api/people', undefined],
    ['POST', '/api/people', NEW],
    ['PATCH', `/api/people/${id('owner')}`, { role: 'contractor' }],
    ['POST', `/api/people/${id('owner')}/invitation`, undefined],
    ['GET', `/api/people/${id('owner')}/export`, undefined],
    ['DELETE', `/api/people/${id('owner')}`, undefined],
    ['GET', `/api/houses/${OWN_HOUSE}/people`, undefined],
    ['POST', `/api/houses/${OWN_HOUSE}/links`, { personId: id('owner'), days: 1 }],
    ['POST', `/api/houses/${OWN_HOUSE}/owner`, { name: 'Me', email: 'me@example.com' }],
  ] as const
  const token = await withToken('contractor', 'write')
  for (const [method, url, payload] of asked) {
    expect((await as('nobody')({ method, url, payload })).statusCode, url).toBe(401)
    for (const ask of [as('technician'), as('owner'), token]) {
      expect((await ask({ method, url, payload })).json().code, `${method} ${url}`).toBe('NOT_ALLOWED')
    }
  }
})
