/** The demo house's page as a contractor meets it. */
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { loadHouseFolder } from '../../server/ingest/folder/loadHouse.ts'
import { createIntake } from '../../server/ingest/intake.ts'
import { readHouse } from '../../server/store/readHouse.ts'
import { findingsOf } from '../../server/study/findings.ts'
import { findingsPage } from '../../server/study/page.ts'
import { shortPage } from '../../server/study/shortPage.ts'
import { scratchDatabase } from '../support/database.ts'

const NOW = Date.UTC(2026, 11, 1)

test('the demo house: short and full pages are whole, in one unit system each, and marked as invented', async () => {
  const db = scratchDatabase()
  const deps = { db, intake: createIntake(db, { now: () => NOW }), now: () => NOW }
  const { key } = await loadHouseFolder(deps, join(import.meta.dirname, '../../demo-data/house'), { who: 'tester' })
  const findings = (await findingsOf(db, key, { now: NOW, asOf: null }))!
  const house = (await readHouse(db, key))!
  for (const units of ['us', 'si'] as const) {
    const short = shortPage(house, findings, units)
    const full = findingsPage(house, findings, units)
    for (const page of [short, full]) {
      expect(page).toContain('This house is invented')
      expect(page).not.toMatch(/\{\w+\}|NaN|undefined|null|\[object/)
      expect(page).not.toMatch(units === 'us' ? /\d (?:Pa|K|mm|°C)\b/ : /°F|grains|\d\.\d\d in\b/)
      expect(page.split('\n').filter((line) => line.length > 110)).toEqual([])
    }
    expect(short.split('\n').length).toBeLessThan(75)
    // What the demo house is about: rain got in before the drains and not after.
    expect(short).toMatch(/before the first work [456] of [67]; then, from the downspout drain .* on, 0 of/s)
    expect(full).toContain('not needed because')
  }
  // Three months after its record ended the same house is silent, not dry.
  const later = (await findingsOf(db, key, { now: NOW }))!
  expect(shortPage(house, later, 'us')).toContain('Silent: nothing is heard')
})
