/** Signing in, as a browser and as a stranger's page meet it: cookies, their end, and what is refused. */
import { expect, test } from 'vitest'
import { FIRM, OWN_HOUSE, PASSWORD, PEOPLE, signedInService } from '../support/signedIn.ts'

const { email } = PEOPLE.technician
const SIGN_IN = { method: 'POST', url: '/api/sign-in', payload: { email, password: PASSWORD } } as const

interface Kept {
  name: string
  value: string
  expires?: Date
}

test('the cookie of a session is kept from scripts and other sites, and ends with it', async () => {
  for (const [publicUrl, name] of [
    ['https://under.example', '__Host-underjoist'],
    ['http://127.0.0.1:8484', 'underjoist'],
  ] as const) {
    const { as } = await signedInService({ publicUrl })
    const answer = await as('nobody')(SIGN_IN)
    expect(answer.statusCode).toBe(200)
    expect(answer.headers['cache-control']).toBe('no-store')
    const [cookie] = answer.cookies as (Kept & object)[]
    expect(cookie).toMatchObject({ name, path: '/', httpOnly: true, sameSite: 'Strict' })
    expect('secure' in cookie!).toBe(publicUrl.startsWith('https:'))
    expect('domain' in cookie!).toBe(false)
    expect(cookie!.expires!.getTime()).toBeGreaterThan(Date.now() + 3_600_000)
    expect(answer.body).not.toContain(cookie!.value)
    expect(answer.json()).toMatchObject({
      begun: true,
      demo: false,
      caller: {
        name: 'Tess Nician',
        role: 'technician',
        houses: [{ key: OWN_HOUSE, name: 'Own house' }],
        via: 'password',
      },
    })
  }
})

test('whoever signs in anew gets another secret, and the one before opens nothing', async () => {
  const { as, cookie } = await signedInService()
  const again = await as('technician')(SIGN_IN)
  const [kept] = again.cookies as Kept[]
  expect(cookie('technician')).not.toContain(kept!.value)
  const caller = async (value: string) =>
    (await as('nobody')({ url: '/api/sign-in', headers: { cookie: value } })).json().caller
  expect(await caller(cookie('technician'))).toBe(null)
  expect(await caller(`${kept!.name}=${kept!.value}`)).toMatchObject({ name: 'Tess Nician' })
})

test('signing out ends the session here and in the browser', async () => {
  const { as } = await signedInService()
  const out = await as('technician')({ method: 'DELETE', url: '/api/sign-in' })
  expect(out.statusCode).toBe(204)
  const [cookie] = out.cookies as Kept[]
  expect([cookie!.value, cookie!.expires!.getTime()]).toEqual(['', 0])
  expect((await as('technician')('/api/round')).json().code).toBe('NOT_SIGNED_IN')
  // Once more, it is as it was.
  expect((await as('technician')({ method: 'DELETE', url: '/api/sign-in' })).statusCode).toBe(204)
})

test('a session that was ended elsewhere is out at its next request', async () => {
  const { as, parts } = await signedInService()
  const other = await as('nobody')(SIGN_IN)
  const { name, value } = other.cookies[0]!
  const elsewhere = { cookie: `${name}=${value}` }
  const { sessions } = (await as('technician')('/api/account/sessions')).json()
  expect(sessions).toHaveLength(2)
  const theirs = sessions.find(({ thisOne }: { thisOne: boolean }) => !thisOne)
  expect((await as('nobody')({ url: '/api/round', headers: elsewhere })).statusCode).toBe(200)
  // Only one's own.
  const ofAnother = await as('owner')({ method: 'DELETE', url: `/api/account/sessions/${theirs.id}` })
  expect(ofAnother.statusCode).toBe(404)
  expect((await as('technician')({ method: 'DELETE', url: `/api/account/sessions/${theirs.id}` })).statusCode).toBe(204)
  expect((await as('nobody')({ url: '/api/round', headers: elsewhere })).statusCode).toBe(401)
  expect((await as('technician')('/api/round')).statusCode).toBe(200)
  expect(await parts.people.sessions(1)).toHaveLength(1)
})

test('a cookie that comes along with the request of a foreign page changes nothing', async () => {
  const { parts, cookie } = await signedInService()
  const asked = (headers: { origin?: string; 'sec-fetch-site'?: string }) =>
    parts.app.inject({
      method: 'POST',
      url: '/api/account/tokens',
      payload: { name: 'mine', scope: 'write', days: 1 },
      headers: { cookie: cookie('contractor'), ...headers },
    })
  for (const headers of [
    { origin: 'https://pages.example' },
    { origin: 'null' },
    { origin: 'https://under.example.pages.example' },
    { 'sec-fetch-site': 'cross-site' },
    { 'sec-fetch-site': 'same-site' },
    {},
  ]) {
    const answer = await asked({ ...headers })
    expect([answer.statusCode, answer.json().code], JSON.stringify(headers)).toEqual([403, 'WRONG_HOST'])
  }
  expect((await asked({ origin: 'https://under.example' })).statusCode).toBe(201)
})

test('no foreign page signs somebody in, by no way there is', async () => {
  const { parts } = await signedInService()
  const ways = [
    ['POST', '/api/sign-in', { email, password: PASSWORD }],
    ['POST', '/api/sign-in/first', { code: 'x', firm: FIRM, name: 'x', email: 'x@example.com', password: PASSWORD }],
    ['POST', '/api/sign-in/link', { link: 'x' }],
    ['POST', '/api/sign-in/password', { code: 'x', password: PASSWORD }],
    ['POST', '/api/sign-in/forgot', { email }],
    ['DELETE', '/api/sign-in', undefined],
  ] as const
  for (const [method, url, payload] of ways) {
    for (const headers of [
      { origin: 'https://pages.example' },
      { origin: 'null' },
      { 'sec-fetch-site': 'cross-site' },
    ]) {
      const answer = await parts.app.inject({ method, url, payload, headers: { ...headers } })
      expect([answer.statusCode, answer.json().code, answer.cookies], url).toEqual([403, 'WRONG_HOST', []])
    }
  }
  // A form of a page cannot send JSON, and nothing else is read.
  const form = { 'content-type': 'text/plain', origin: 'https://under.example' }
  const sent = { ...SIGN_IN, payload: JSON.stringify(SIGN_IN.payload), headers: form }
  expect((await parts.app.inject(sent)).statusCode).toBe(415)
  // Programs say nothing of a page.
  expect((await parts.app.inject(SIGN_IN)).statusCode).toBe(200)
})

test('a page and what belongs to it are given out without asking whose cookie came along', async () => {
  const { parts, cookie } = await signedInService()
  const asked: string[] = []
  parts.db.raw.function('asked', (what: string) => asked.push(what))
  parts.db.raw.exec(`create temp trigger seen after update of seen_at on sessions begin select asked('seen'); end`)
  parts.db.raw.prepare('update sessions set seen_at = seen_at - 120000').run()
  asked.length = 0
  const headers = { cookie: cookie('contractor') }
  for (const url of ['/', '/houses/own-house', '/assets/gone.js']) await parts.app.inject({ url, headers })
  expect(asked).toEqual([])
  expect((await parts.app.inject({ url: '/api/sign-in', headers })).json().caller.name).toBe(PEOPLE.contractor.name)
  expect(asked).toEqual(['seen'])
})

test('who guesses is told to wait, and for how long', async () => {
  const { as } = await signedInService()
  const guess = (password: string) => as('nobody')({ ...SIGN_IN, payload: { email, password } })
  const answers = []
  for (let i = 0; i < 12; i++) answers.push(await guess(`guess number ${i}`))
  const codes = answers.map((answer) => answer.json().code)
  expect(codes.slice(0, 5)).toEqual(Array(5).fill('SIGN_IN_REFUSED'))
  expect(codes.at(-1)).toBe('TOO_MANY')
  const waits = answers.at(-1)!
  expect(waits.statusCode).toBe(429)
  expect(Number(waits.headers['retry-after'])).toBeGreaterThan(0)
  // The right one is no way around it.
  expect((await guess(PASSWORD)).statusCode).toBe(429)
})

test('no answer tells whether somebody has an account', async () => {
  const { as, parts, id } = await signedInService()
  await parts.people.changePerson(
    id('owner'),
    { closed: true },
    (await parts.people.identify({
      cookie: (
        await as('nobody')({ ...SIGN_IN, payload: { email: PEOPLE.contractor.email, password: PASSWORD } })
      ).cookies[0]!.value,
    }))!,
  )
  const told = async (url: string, payload: Record<string, string>) => {
    const { statusCode, headers, body, cookies } = await as('nobody')({ method: 'POST', url, payload })
    const { date, ...others } = headers
    return { statusCode, body, cookies, others }
  }
  const wrong = { password: 'a wrong password' }
  const asIfNobody = await told('/api/sign-in', { email: 'nobody@example.com', ...wrong })
  expect(asIfNobody.statusCode).toBe(401)
  expect(await told('/api/sign-in', { email, ...wrong })).toEqual(asIfNobody)
  // Closed, with the right password.
  expect(await told('/api/sign-in', { email: PEOPLE.owner.email, password: PASSWORD })).toEqual(asIfNobody)
  const forgot = await told('/api/sign-in/forgot', { email: 'nobody@example.com' })
  expect(forgot.statusCode).toBe(202)
  expect(await told('/api/sign-in/forgot', { email })).toEqual(forgot)
  expect(await told('/api/sign-in/forgot', { email: 'none at all' })).toEqual(forgot)
})

test('an owner’s link opens its house alone, and no account', async () => {
  const { as, byLink } = await signedInService()
  const owner = await byLink('owner')
  expect((await owner('/api/sign-in')).json().caller).toMatchObject({
    name: 'Olive Owner',
    via: 'link',
    houses: [{ key: OWN_HOUSE }],
  })
  for (const url of ['/api/account/sessions', '/api/account/tokens', '/api/account/export']) {
    expect((await owner(url)).json().code, url).toBe('NOT_ALLOWED')
  }
  const token = await owner({
    method: 'POST',
    url: '/api/account/tokens',
    payload: { name: 'x', scope: 'write', days: 9 },
  })
  expect(token.json().code).toBe('NOT_ALLOWED')
  const bad = await as('nobody')({ method: 'POST', url: '/api/sign-in/link', payload: { link: '1.9999999999999.x' } })
  expect([bad.statusCode, bad.json().code]).toEqual([401, 'BAD_LINK'])
})

test('the demo signs its visitor in, and has no other way', async () => {
  const { scratchService } = await import('../support/service.ts')
  const { app } = await scratchService()
  const asked = await app.inject('/api/sign-in')
  expect(asked.json()).toMatchObject({ begun: true, demo: true, caller: { role: 'contractor', via: 'this machine' } })
  expect((await app.inject(SIGN_IN)).statusCode).toBe(404)
  const afar = await app.inject({ url: '/api/sign-in', headers: { 'x-forwarded-for': '203.0.113.9' } })
  expect(afar.json().caller).toBe(null)
})
