/** How passwords are kept, and which are refused. */
import { parseOptions } from '@node-rs/argon2'
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { COST, NOBODYS_HASH, passwords } from '../../server/people/passwords.ts'
import { PeopleError } from '../../server/people/types.ts'
import { refuseWeak } from '../../server/people/weakPasswords.ts'

const OWN = { name: 'Tess Nician-Ray', email: 'drippy.tess@under-oak.example', firm: 'Dry Ridge & Sons' }

function verdict(password: string): string {
  try {
    refuseWeak(password, OWN)
    return 'taken'
  } catch (error) {
    if (error instanceof PeopleError && error.code === 'WEAK_PASSWORD') return error.message
    throw error
  }
}

test('argon2id at the cost that is named, salted, the same for the hash of nobody', async () => {
  const [one, two] = [await passwords.hash('wet joists dry slowly'), await passwords.hash('wet joists dry slowly')]
  expect(one).toMatch(/^\$argon2id\$v=19\$m=19456,t=2,p=1\$/)
  expect(one).not.toBe(two)
  const { algorithm, memoryCost, timeCost, parallelism } = parseOptions(one)
  expect({ algorithm, memoryCost, timeCost, parallelism }).toEqual(COST)
  expect(parseOptions(NOBODYS_HASH)).toEqual(parseOptions(one))
})

test('the right password and no other; without one, none', async () => {
  const kept = await passwords.hash('Crème brûlée under joists')
  expect(await passwords.matches('Crème brûlée under joists'.normalize('NFD'), kept)).toBe(true)
  expect(await passwords.matches('crème brûlée under joists', kept)).toBe(false)
  expect(await passwords.matches('Crème brûlée under joist', kept)).toBe(false)
  expect(await passwords.matches('Crème brûlée under joists', null)).toBe(false)
})

test('length is counted in characters, whatever they are made of, from 15 to 128', () => {
  expect(verdict('gravel bucket1')).toContain('has 14 characters')
  expect(verdict('gravel bucket11')).toBe('taken')
  expect(verdict('🐌🧽🪣🧱🪵🔦🧤🦗🐜🌧💧🕳🚰🍄🪜')).toBe('taken')
  expect(verdict('🐌🧽🪣🧱🪵🔦🧤🦗🐜🌧💧🕳🚰🍄')).toContain('has 14 characters')
  expect(verdict('wet joists dry slowly '.repeat(6).slice(0, 128))).toBe('taken')
  expect(verdict('wet joists dry slowly '.repeat(6).slice(0, 129))).toContain('more than 128')
})

test('what is guessed first is refused: common ones, with signs around them, repeated, in a row', () => {
  for (const password of [
    'passwordpassword',
    'UNBELIEVABLE123',
    'Baseball2024!!!',
    '!!!123sunshine!',
    'aaaaaaaaaaaaaaaa',
    'ababababababababab',
    'kettlekettlekettle',
    'abcdefghijklmnop',
    'ponmlkjihgfedcba',
    'qwertyuiopasdfg',
    '123456789012345',
    '890123456789012',
    '1234 5678 9012 34',
  ]) {
    expect([password, verdict(password)]).toEqual([password, expect.stringContaining('guessed first')])
  }
})

test('names of the person, the firm, the service and the trade do not make a password', () => {
  for (const password of [
    'tess nician ray',
    'TessNician2025!',
    'drippy.tess@under-oak.example',
    'dry-ridge-sons-1',
    'Underjoist-Tess',
    'crawlspace12345',
    'password password',
    'RidgeMoisture99',
  ]) {
    expect([password, verdict(password)]).toEqual([password, expect.stringContaining('made of')])
  }
  expect(verdict('Tess keeps seven gravel buckets')).toBe('taken')
})

test('no kind of character is asked for: any four of many words, and any random letters, are taken', () => {
  const word = fc.string({ minLength: 5, maxLength: 12, unit: fc.constantFrom(...'abcdefghijklmnopqrstuvwxyz') })
  fc.assert(
    fc.property(fc.uniqueArray(word, { minLength: 4, maxLength: 6 }), (words) => {
      fc.pre(new Set(words.join('')).size > 8)
      return verdict(words.join(' ')) === 'taken'
    }),
    { seed: 7, numRuns: 300 },
  )
})
