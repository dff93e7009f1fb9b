/** Names and e-mail addresses as they are typed, and where somebody comes from. */
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { emailFrom, requireName } from '../../server/people/personWords.ts'
import { networkOf } from '../../server/people/throttle.ts'

test('an address is kept in lower case', () => {
  expect(emailFrom('  Ann.Example+crawl@Mail.Example.COM ')).toBe('ann.example+crawl@mail.example.com')
  expect(emailFrom("o'neil@example.com")).toBe("o'neil@example.com")
  expect(emailFrom('änne@bücher.example')).toBe('änne@bücher.example')
})

test('what is no address, is two of them, or could end a line or begin a header is refused', () => {
  for (const typed of [
    '',
    'ann',
    '@example.com',
    'ann@',
    'ann@example',
    'ann@@example.com',
    'ann@example.com@example.com',
    'ann@example.com\r\nBcc: all@example.com',
    'ann\n@example.com',
    'ann@exam\u0000ple.com',
    'ann@exam\u2028ple.com',
    'ann@example.com, bo@example.com',
    'ann@example.com;bo@example.com',
    'Ann <ann@example.com>',
    '"ann example"@example.com',
    'ann example@example.com',
    'ann@-example.com',
    'ann@example..com',
    'ann@example.com.',
    'ann\u202e@example.com',
    `${'a'.repeat(65)}@example.com`,
    `ann@${'a'.repeat(250)}.com`,
  ]) {
    expect([typed, emailFrom(typed)]).toEqual([typed, null])
  }
})

test('whatever is typed, an address that is taken is one line without spaces, brackets or commas', () => {
  const typed = fc.oneof(
    fc.string({ unit: 'binary' }),
    fc.tuple(fc.string({ unit: 'grapheme' }), fc.string({ unit: 'grapheme' })).map(([a, b]) => `${a}@${b}.com`),
  )
  fc.assert(
    fc.property(typed, (text) => {
      const email = emailFrom(text)
      return (
        email === null || (/^[^\s\p{C}<>(),;:"\\]+$/u.test(email) && email.length <= 254 && emailFrom(email) === email)
      )
    }),
    { seed: 7, numRuns: 2000 },
  )
})

test('a name is one line that can be seen, and nobody is called as histories call nobody in particular', () => {
  expect(requireName('  Ann   Example ')).toBe('Ann Example')
  expect(requireName('Ánn O’Example (Oak Street)')).toBe('Ánn O’Example (Oak Street)')
  for (const typed of [
    '',
    '   ',
    'a\nb',
    'a\u0007b',
    'a\u2028b',
    'a\u202eb',
    '\u200b',
    'x'.repeat(101),
    'The Service',
    'a former person',
    'the pages',
    'The command line',
  ]) {
    expect(() => requireName(typed)).toThrow(expect.objectContaining({ code: 'BAD_PERSON', where: 'name' }))
  }
})

test('an IPv4 address counts by itself however it is written, IPv6 by its /64', () => {
  expect(networkOf('192.0.2.1')).toBe('192.0.2.1')
  expect(networkOf('::ffff:192.0.2.1')).toBe('192.0.2.1')
  expect(networkOf('2001:db8:1:2:3:4:5:6')).toBe('2001:db8:1:2::/64')
  expect(networkOf('2001:0DB8:0001:0002::9')).toBe('2001:db8:1:2::/64')
  expect(networkOf('2001:db8::9')).toBe('2001:db8:0:0::/64')
  expect(networkOf('fe80::1%eth0')).toBe('fe80:0:0:0::/64')
  expect(networkOf('::1')).toBe('0:0:0:0::/64')
})
