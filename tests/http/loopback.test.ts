import Fastify from 'fastify'
import { expect, test } from 'vitest'
import { AddressRefused, isLoopback, listen } from '../../server/http/loopback.ts'

test.each(['127.0.0.1', '127.1.2.3', 'localhost', '::1', '[::1]'])('%s is this machine', (host) => {
  expect(isLoopback(host)).toBe(true)
})

test.each([
  '0.0.0.0',
  '::',
  '192.168.1.4',
  '10.0.0.1',
  'example.org',
  '127.0.0.1.example.org',
  'localhost.example',
  '',
])('the address "%s" is refused with a sentence and nothing listens', async (host) => {
  const app = Fastify()
  await expect(listen(app, { host, port: 0 })).rejects.toBeInstanceOf(AddressRefused)
  await expect(listen(app, { host, port: 0 })).rejects.toThrow(/refuses the address .* no sign-in yet/)
  expect(app.server.listening).toBe(false)
})

test('on the loopback address it listens and answers', async () => {
  const app = Fastify()
  app.get('/', async () => 'here')
  const address = await listen(app, { host: '127.0.0.1', port: 0 })
  expect(await (await fetch(address)).text()).toBe('here')
  await app.close()
})
