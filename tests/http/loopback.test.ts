import Fastify from 'fastify'
import { expect, test } from 'vitest'
import { AddressRefused, listen, refuseOpenBroker } from '../../server/http/loopback.ts'

const HTTPS = 'https://under.example'
const ELSEWHERE = [
  '0.0.0.0',
  '::',
  '192.168.1.4',
  '10.0.0.1',
  'example.org',
  '127.0.0.1.example.org',
  'localhost.example',
  '',
]

test.each(ELSEWHERE)('the address "%s" is refused before there is an account, and nothing listens', async (host) => {
  const app = Fastify()
  const open = { begun: false, publicUrl: HTTPS }
  await expect(listen(app, { host, port: 0 }, open)).rejects.toBeInstanceOf(AddressRefused)
  await expect(listen(app, { host, port: 0 }, open)).rejects.toThrow(
    /refuses the address .*no account yet.*`underjoist person add/,
  )
  expect(app.server.listening).toBe(false)
})

test('where nobody signs in no address beyond this machine is taken, account or not', async () => {
  await expect(listen(Fastify(), { host: '0.0.0.0', port: 0 }, null)).rejects.toThrow('nobody signs in here')
})

test('with an account it still wants TLS before it lets others in', async () => {
  const open = { begun: true, publicUrl: 'http://127.0.0.1:8484' }
  await expect(listen(Fastify(), { host: '0.0.0.0', port: 0 }, open)).rejects.toThrow(/set PUBLIC_URL to the https/)
})

test('with an account and an https address it listens beyond this machine', async () => {
  const app = Fastify()
  await listen(app, { host: '0.0.0.0', port: 0 }, { begun: true, publicUrl: HTTPS })
  expect(app.server.address()).toMatchObject({ address: '0.0.0.0' })
  await app.close()
})

test.each([null, { begun: false, publicUrl: 'http://127.0.0.1' }])(
  'on the loopback address it listens and answers, whoever there is (%j)',
  async (open) => {
    const app = Fastify()
    app.get('/', async () => 'here')
    const address = await listen(app, { host: '127.0.0.1', port: 0 }, open)
    expect(await (await fetch(address)).text()).toBe('here')
    await app.close()
  },
)

test.each(ELSEWHERE)('loggers are not heard at "%s" before there is an account', (host) => {
  const refused = () => refuseOpenBroker(host, { begun: false, publicUrl: HTTPS })
  expect(refused).toThrow(AddressRefused)
  expect(refused).toThrow(/^The broker for loggers .*no account yet/)
  expect(() => refuseOpenBroker(host, null)).toThrow('nobody signs in here')
  expect(() => refuseOpenBroker(host, { begun: true, publicUrl: 'http://127.0.0.1' })).not.toThrow()
})

test('on this machine loggers are heard from the first day', () => {
  expect(() => refuseOpenBroker('127.0.0.1', null)).not.toThrow()
})
