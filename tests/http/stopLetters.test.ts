/** One click stops one class of letters (RFC 8058), and what the contractor sees of the outbox. */
import { expect, test } from 'vitest'
import { withoutSecrets } from '../../server/http/logged.ts'
import { createSigner } from '../../server/people/signed.ts'
import { listLetters, storeLetter } from '../../server/store/letters.ts'
import { stoppedClasses } from '../../server/store/lettersStopped.ts'
import { people } from '../../server/store/schema.ts'
import { stopToken } from '../../server/watch/letters/stopToken.ts'
import { addHouse } from '../support/database.ts'
import { scratchService } from '../support/service.ts'

async function stage() {
  const { app, db } = await scratchService()
  const houseId = addHouse(db)
  const add = (role: 'owner' | 'contractor') =>
    db.orm
      .insert(people)
      .values({ email: `${role}@x.example`, name: `<b>${role}`, role, createdAt: 0 })
      .returning({ id: people.id })
      .get().id
  const personId = add('owner')
  add('contractor')
  const signer = await createSigner(db)
  const of = { personId, houseId }
  return { app, db, of, url: (letterClass: 'alarms' | 'news') => `/stop/${stopToken(signer, { ...of, letterClass })}` }
}
const FORM = { 'content-type': 'application/x-www-form-urlencoded' }

test('fetching the address changes nothing; a mail program’s one click and the button of the page do', async () => {
  const { app, db, of, url } = await stage()
  const page = await app.inject(url('news'))
  expect(page.statusCode).toBe(200)
  expect(page.body).toContain('<form method="post">')
  expect(page.headers['content-security-policy']).toContain("default-src 'none'")
  await app.inject({ method: 'HEAD', url: url('news') })
  expect(await stoppedClasses(db, of)).toEqual(new Set())

  const oneClick = { method: 'POST' as const, url: url('news'), headers: FORM, payload: 'List-Unsubscribe=One-Click' }
  expect((await app.inject(oneClick)).statusCode).toBe(200)
  expect((await app.inject(oneClick)).statusCode).toBe(200)
  expect(await stoppedClasses(db, of)).toEqual(new Set(['news']))
  await app.inject({ ...oneClick, payload: 'do=resume' })
  expect(await stoppedClasses(db, of)).toEqual(new Set())
  await app.inject({ ...oneClick, payload: 'do=stop' })
  expect(await stoppedClasses(db, of)).toEqual(new Set(['news']))
  // Letters about what can wait are no alarms: the contractor need not know.
  expect(await listLetters(db, { most: 9 })).toEqual([])
})

test('the other form that RFC 8058 allows is taken too, and any other body changes nothing', async () => {
  const { app, db, of, url } = await stage()
  const post = (contentType: string, payload: string) =>
    app.inject({ method: 'POST', url: url('news'), headers: { 'content-type': contentType }, payload })
  for (const body of ['', 'x=1', 'List-Unsubscribe=No'])
    expect((await post(FORM['content-type'], body)).statusCode).toBe(400)
  expect((await post('application/json', '{}')).statusCode).toBe(400)
  expect((await post('text/plain', 'List-Unsubscribe=One-Click')).statusCode).toBe(415)
  expect((await post(FORM['content-type'], 'x'.repeat(5000))).statusCode).toBe(413)
  expect(await stoppedClasses(db, of)).toEqual(new Set())
  const parts = '--b\r\nContent-Disposition: form-data; name="List-Unsubscribe"\r\n\r\nOne-Click\r\n--b--\r\n'
  expect((await post('multipart/form-data; boundary=b', parts)).statusCode).toBe(200)
  expect(await stoppedClasses(db, of)).toEqual(new Set(['news']))
})

test('stopping the alarms is a class of its own, and every contractor is told once', async () => {
  const { app, db, of, url } = await stage()
  const ask = { method: 'POST' as const, url: url('alarms'), headers: FORM, payload: 'List-Unsubscribe=One-Click' }
  await app.inject(ask)
  await app.inject(ask)
  expect(await stoppedClasses(db, of)).toEqual(new Set(['alarms']))
  expect(await listLetters(db, { most: 9 })).toMatchObject([
    { kind: 'alarms stopped', toAddress: 'contractor@x.example' },
  ])
})

test('an address that was not made here, or for something else, stops nothing', async () => {
  const { app, db, of, url } = await stage()
  const good = url('news')
  const forged = [
    `${good.slice(0, -1)}A`,
    `${good.slice(0, -2)}`,
    '/stop/x',
    '/stop/x.y.z',
    good.replace('/stop/W', '/stop/X'),
  ]
  for (const bad of forged.filter((one) => one !== good)) {
    const answer = await app.inject({ method: 'POST', url: bad, headers: FORM, payload: 'List-Unsubscribe=One-Click' })
    expect(answer.statusCode).toBe(404)
  }
  expect(await stoppedClasses(db, of)).toEqual(new Set())
})

test('the log never shows the secret of such an address', () => {
  expect(withoutSecrets('/stop/abc.def')).toBe('/stop/…')
  expect(withoutSecrets('/stop/abc/def?x=1')).toBe('/stop/…?x=1')
  expect(withoutSecrets('/api/houses/stop/x')).toBe('/api/houses/stop/x')
})

test('the outbox lists letters newest first, shows one with its picture, keeps secret words to itself', async () => {
  const { app, db } = await stage()
  const letter = { kind: 'soon', toAddress: 'a@x.example', toName: 'Ann', subject: 'Damp', text: 'Words', createdAt: 5 }
  const picture = { png: Buffer.from('89504e47', 'hex'), alt: 'wood' }
  await storeLetter(db, { ...letter, onceKey: '1', html: '<img src="cid:picture">', picture })
  await storeLetter(db, { ...letter, onceKey: '2', html: 'code 1', text: 'code 1', secret: true })
  const { letters, goesTo, more } = (await app.inject('/api/letters')).json()
  expect(letters.map(({ id }: { id: number }) => id)).toEqual([2, 1])
  expect([goesTo, more]).toEqual([null, false])
  expect((await app.inject('/api/letters/1')).json().html).toContain('src="data:image/png;base64,')
  expect((await app.inject('/api/letters/2')).body).not.toContain('code 1')
  expect((await app.inject('/api/letters/3')).json()).toMatchObject({ code: 'UNKNOWN_LETTER' })
  expect((await app.inject({ method: 'POST', url: '/api/letters/1/again' })).statusCode).toBe(404)
})
