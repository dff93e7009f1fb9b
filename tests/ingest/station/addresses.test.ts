import { expect, test } from 'vitest'
import { isLoopbackAddress, isPublicAddress } from '../../../server/ingest/station/addresses.ts'

// The blocks are those of the IANA special-purpose registries (RFC 6890), first and last address of each.
test.each([
  '0.0.0.0',
  '0.255.255.255',
  '10.0.0.0',
  '10.255.255.255',
  '100.64.0.0',
  '100.127.255.255',
  '127.0.0.1',
  '127.255.255.254',
  '169.254.0.1',
  '169.254.169.254',
  '172.16.0.0',
  '172.31.255.255',
  '192.0.0.170',
  '192.0.2.1',
  '192.88.99.1',
  '192.168.0.0',
  '192.168.255.255',
  '198.18.0.1',
  '198.19.255.255',
  '198.51.100.7',
  '203.0.113.7',
  '224.0.0.1',
  '239.255.255.255',
  '240.0.0.1',
  '255.255.255.255',
  '::',
  '::1',
  '::ffff:8.8.8.8',
  '::ffff:127.0.0.1',
  '::ffff:a9fe:a9fe',
  '::7f00:1',
  '64:ff9b::808:808',
  '64:ff9b:1::1',
  '100::1',
  '2001::1',
  '2001:db8::1',
  '2002:7f00:1::',
  '3fff::1',
  'fc00::1',
  'fdff::1',
  'fe80::1',
  'fec0::1',
  'ff02::1',
  'not an address',
  '',
])('%s is refused', (address) => expect(isPublicAddress(address)).toBe(false))

test.each([
  '9.255.255.255',
  '11.0.0.0',
  '100.63.255.255',
  '100.128.0.0',
  '126.255.255.255',
  '128.0.0.1',
  '169.253.255.255',
  '172.15.255.255',
  '172.32.0.0',
  '192.167.255.255',
  '192.169.0.0',
  '223.255.255.255',
  '2001:4860:4860::8888',
  '2606:4700::1111',
])('%s is public', (address) => expect(isPublicAddress(address)).toBe(true))

test('this machine is 127.0.0.0/8 and ::1, and no IPv4 address inside an IPv6 one', () => {
  expect(['127.0.0.1', '127.8.9.1', '::1'].every(isLoopbackAddress)).toBe(true)
  expect(['128.0.0.1', '10.0.0.1', '::ffff:127.0.0.1', 'localhost'].some(isLoopbackAddress)).toBe(false)
})
