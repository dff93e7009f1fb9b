import { expect, test } from 'vitest'
import { isLoopback, isLoopbackAddress } from '../../server/ingest/thisMachine.ts'

test('this machine is 127.0.0.0/8 and ::1, and no IPv4 address inside an IPv6 one', () => {
  expect(['127.0.0.1', '127.8.9.1', '::1'].every(isLoopbackAddress)).toBe(true)
  expect(['128.0.0.1', '10.0.0.1', '::ffff:127.0.0.1', 'localhost'].some(isLoopbackAddress)).toBe(false)
})

test.each(['127.0.0.1', '127.1.2.3', 'localhost', 'LOCALHOST', '::1', '[::1]'])(
  'the host %s is this machine',
  (host) => {
    expect(isLoopback(host)).toBe(true)
  },
)

test.each([
  '0.0.0.0',
  '::',
  '192.168.1.4',
  'example.org',
  '127.0.0.1.example.org',
  '127.0.0.999',
  'localhost.example',
  '[localhost]x',
  '',
])('the host "%s" is not', (host) => expect(isLoopback(host)).toBe(false))
