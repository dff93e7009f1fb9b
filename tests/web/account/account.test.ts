/** What each role finds where, and what a browser is called. */
import { expect, test } from 'vitest'
import { browserWords } from '../../../web/account/browser.ts'
import { hasPage } from '../../../web/base/caller.ts'
import { placeOf } from '../../../web/base/router.tsx'

test('every page of people and accounts has its path', () => {
  expect(placeOf('/people')).toEqual({ page: 'people' })
  expect(placeOf('/account/')).toEqual({ page: 'account' })
  expect(placeOf('/houses/maple/people')).toEqual({ page: 'house people', houseKey: 'maple' })
  expect(placeOf('/owner', '?house=maple')).toEqual({ page: 'owner', ofHouse: 'maple' })
  expect(placeOf('/owner')).toEqual({ page: 'owner', ofHouse: null })
  for (const page of ['first', 'forgot', 'password', 'sizing', 'stations'] as const) {
    expect(placeOf(`/${page}`)).toEqual({ page })
    expect(placeOf(`/${page}/more`)).toEqual({ page: 'nowhere' })
  }
})

test('each role is shown what it has something to do with', () => {
  const pages = [
    'round',
    'house',
    'loggers',
    'sizing',
    'stations',
    'people',
    'house people',
    'owner',
    'account',
  ] as const
  const shown = (role: 'contractor' | 'technician' | 'owner') => pages.filter((page) => hasPage(role, page))
  expect(shown('contractor')).toEqual(pages.filter((page) => page !== 'owner'))
  expect(shown('technician')).toEqual(['round', 'house', 'loggers', 'sizing', 'account'])
  expect(shown('owner')).toEqual(['round', 'owner', 'account'])
})

test.each([
  ['Mozilla/5.0 (X11; Linux x86_64; rv:132.0) Gecko/20100101 Firefox/132.0', 'Firefox on Linux'],
  [
    'Mozilla/5.0 (iPhone; CPU iPhone OS 17_0 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/17.0 Mobile/15E148 Safari/604.1',
    'Safari on an iPhone',
  ],
  [
    'Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/130.0.0.0 Safari/537.36 Edg/130.0.0.0',
    'Edge on Windows',
  ],
  [
    'Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/130.0.0.0 Mobile Safari/537.36',
    'Chrome on Android',
  ],
  ['curl/8.5.0', 'curl/8.5.0'],
  ['', 'a program without a name'],
])('%s is told as %s', (agent, words) => {
  expect(browserWords(agent)).toBe(words)
})
