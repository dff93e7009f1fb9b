/** The morning after a storm: forty wet houses are one line of the round, and a notice is dealt with at its house. */
import { copyFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, inject, onTestFinished, test } from 'vitest'
import { buildService, type ServiceParts } from '../../server/cli/runService.ts'
import { storeHouse } from '../../server/store/storeHouse.ts'
import { scratchFolder } from '../support/database.ts'
import { OWNED, openNotice } from '../support/ownedHouse.ts'
import { TEST_HOUSE } from '../support/studiedHouse.ts'
import { axeFaults, DEMO, open, sideways } from './support.ts'

const HOUR = 3_600_000
const STORM_HOUSES = 40

async function served(): Promise<{ parts: ServiceParts; address: string }> {
  const databasePath = join(scratchFolder(), 'underjoist.db')
  copyFileSync(inject('demoDatabase'), databasePath)
  const parts = await buildService({ door: 'open on this machine', databasePath, now: Date.now, log: false })
  onTestFinished(() => parts.stop())
  return { parts, address: await parts.app.listen({ host: '127.0.0.1', port: 0 }) }
}

const liquid = { watch: 'liquid water', urgency: 'urgent' } as const
const place = { spot: 'crawl/low', spotName: 'Low corner', spaceName: 'Crawl space' }

async function wetHouses({ db }: ServiceParts, now: number): Promise<void> {
  for (let i = 1; i <= STORM_HOUSES; i++) {
    const loggers = TEST_HOUSE.loggers!.map((logger) => ({ ...logger, key: `h${i}-${logger.key}` }))
    const tree = { ...TEST_HOUSE, key: `wet-${i}`, name: `Wet house ${i}`, loggers }
    await storeHouse(db, tree, { replace: false, now, who: 'tester' })
    const body = { place, circumstances: ['after big rain' as const], numbers: { rainMm: 30 + i } }
    openNotice(db, { ...liquid, house: tree.key, sinceAt: now - (24 - i / 4) * HOUR, body })
  }
}

test.each([390, 1280])('at %d px forty houses of one storm are one line that opens, ranked', async (width) => {
  const { parts, address } = await served()
  await wetHouses(parts, Date.now())
  openNotice(parts.db, { watch: 'wood rising', urgency: 'soon', sinceAt: Date.now() - 90 * HOUR })
  const page = await open({ address }, '/', { width })
  const storm = page.getByRole('listitem').filter({ has: page.getByRole('heading', { level: 2, name: /^One storm/ }) })
  await storm.waitFor()
  expect(await page.locator('.round').first().locator(':scope > li').count()).toBe(2)
  expect(await storm.locator('h2').innerText()).toMatch(/One storm, 40 houses/)
  expect(await storm.innerText()).toContain('Nobody has seen any of them yet. First: Wet house 40, Wet house 39,')
  await storm.getByText('The 40 houses').click()
  expect(
    (await storm.getByRole('heading', { level: 3 }).allInnerTexts()).map((text) => text.split('\n')[0]!.trim()),
  ).toEqual(Array.from({ length: STORM_HOUSES }, (_, i) => expect.stringContaining(`Wet house ${STORM_HOUSES - i}`)))
  expect(await axeFaults(page)).toEqual([])
  expect(await sideways(page)).toEqual([])
  await page.getByLabel('Find a house').fill('house 17')
  await page.getByRole('heading', { level: 2, name: /Wet house 17/ }).waitFor()
  expect(await storm.count()).toBe(0)
})

test('at its house a notice is acknowledged and put off, and what became of it is told', async () => {
  const { parts, address } = await served()
  openNotice(parts.db, {
    ...liquid,
    house: OWNED,
    sinceAt: Date.now() - 5 * HOUR,
    body: { place, numbers: { rainMm: 42 } },
  })
  const page = await open({ address }, DEMO, { width: 390 })
  const notices = page.getByRole('region', { name: 'Notices' })
  await notices.getByRole('heading', { name: /^Liquid water, Low corner/ }).waitFor()
  await notices.getByRole('button', { name: 'Acknowledge' }).click()
  await notices.getByText(/^Acknowledged by the pages/).waitFor()
  await notices.getByLabel('Put off for').selectOption('a week')
  await notices.getByText(/Put off until/).waitFor()
  await notices.getByText('What became of it').click()
  const became = await notices.getByRole('listitem').allInnerTexts()
  expect(became.slice(1).map((text) => text.split(': ')[1])).toEqual([
    'opened, the watch',
    'acknowledged, the pages',
    'snoozed, the pages',
  ])
  expect(await axeFaults(page)).toEqual([])
  expect(await sideways(page)).toEqual([])
})
