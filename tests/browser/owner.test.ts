/** An owner opens the link of a letter on a phone: what they read, the one button, their choices, and how little it weighs. */
import { copyFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { expect, inject, onTestFinished, test } from 'vitest'
import { buildService, type ServiceParts } from '../../server/cli/runService.ts'
import { createSigner } from '../../server/people/signed.ts'
import { stoppedClasses } from '../../server/store/lettersStopped.ts'
import { findNotice } from '../../server/store/notices.ts'
import { stopToken } from '../../server/watch/letters/stopToken.ts'
import { scratchFolder } from '../support/database.ts'
import { giveOwner, OWNED, openNotice, sentLetter, THE_FIRM } from '../support/ownedHouse.ts'
import { axeFaults, open, serve, sideways } from './support.ts'

const HOUR = 3_600_000
const MOST_KB = 150

async function owned(): Promise<{ parts: ServiceParts; address: string; path: string; personId: number }> {
  const databasePath = join(scratchFolder(), 'underjoist.db')
  copyFileSync(inject('demoDatabase'), databasePath)
  const publicUrl = 'http://127.0.0.1'
  const parts = await buildService({ door: 'sign-in', databasePath, publicUrl, now: Date.now, log: false })
  onTestFinished(() => parts.stop())
  const { link, personId } = await giveOwner(parts)
  return { parts, personId, address: await parts.app.listen({ host: '127.0.0.1', port: 0 }), path: `/owner#${link}` }
}

const water = ({ db }: ServiceParts) =>
  openNotice(db, {
    watch: 'liquid water',
    urgency: 'urgent',
    sinceAt: Date.now() - 5 * HOUR,
    body: { place: { spot: null, spotName: 'Low corner', spaceName: 'Crawl space' } },
  })

async function faultless(page: Page): Promise<void> {
  expect(await axeFaults(page)).toEqual([])
  expect(await sideways(page)).toEqual([])
}

test.each([360, 390])(
  'at %d px the link opens a page that says what to do, and one button says it was seen',
  async (width) => {
    const { parts, address, path, personId } = await owned()
    const notice = water(parts)
    sentLetter(parts.db, personId, 'Urgent: water under the house', Date.now() - 4 * HOUR)
    const page = await open({ address }, path, { width })
    await page.getByRole('heading', { level: 1, name: 'Wet: do this now' }).waitFor()
    expect(new URL(page.url()).hash).toBe('')
    const heads = await page.getByRole('heading', { level: 2 }).allInnerTexts()
    expect(heads).toEqual([
      'What happened',
      'What to do now',
      'What we do',
      'Whom to call',
      'Through the seasons',
      'Letters sent to you',
      'Which letters',
    ])
    const toDo = page.getByRole('region', { name: 'What to do now' })
    expect(await toDo.getByRole('listitem').count()).toBeLessThanOrEqual(3)
    expect(await toDo.innerText()).toContain('Water and electricity')
    expect(await page.getByRole('link', { name: `Call ${THE_FIRM.phone}` }).getAttribute('href')).toBe('tel:5550142')
    const letters = page.getByRole('region', { name: 'Letters sent to you' })
    expect(await letters.innerText()).toContain('Urgent: water under the house')
    expect(await page.locator('body').innerText()).not.toMatch(/mold/i)
    await faultless(page)

    expect((await findNotice(parts.db, notice))?.acknowledgedAt).toBe(null)
    await page.getByRole('button', { name: 'I have seen this' }).click()
    await page.getByText(/^Olive Owner has seen this/).waitFor()
    expect((await findNotice(parts.db, notice))?.acknowledgedBy).toBe('Olive Owner')
  },
)

test('the address in a letter stops nothing by being opened, and its one button does, also for who is signed in', async () => {
  const { parts, address, path, personId } = await owned()
  const houseId = parts.db.raw.prepare('select id from houses where key = ?').pluck().get(OWNED) as number
  const token = stopToken(await createSigner(parts.db), { personId, houseId, letterClass: 'soon' })
  const page = await open({ address }, path, { width: 390 })
  await page.getByRole('heading', { level: 1 }).waitFor()
  await page.goto(`${address}/stop/${token}`)
  await page.getByRole('heading', { name: /^Stop letters about damp/ }).waitFor()
  expect(await stoppedClasses(parts.db, { personId, houseId })).toEqual(new Set())
  await faultless(page)
  await page.getByRole('button', { name: 'Stop these letters' }).click()
  await page.getByRole('heading', { name: /^Stopped: letters about damp/ }).waitFor()
  expect(await stoppedClasses(parts.db, { personId, houseId })).toEqual(new Set(['soon']))
  await page.getByRole('button', { name: 'I want them after all' }).click()
  await page.getByRole('heading', { name: /^You get letters about damp .* again/ }).waitFor()
  expect(await stoppedClasses(parts.db, { personId, houseId })).toEqual(new Set())
})

test('the seasons are drawn with words of 12 px at least, and told the same to who does not see them', async () => {
  const { address, path } = await owned()
  for (const width of [360, 1280]) {
    const page = await open({ address }, path, { width, colorScheme: width === 360 ? 'dark' : 'light' })
    const picture = page.getByRole('img', { name: /^Through the seasons/ })
    await picture.waitFor()
    const told = (await picture.getAttribute('aria-label'))!
    expect(told).toMatch(/2025: .*wet from .*Works: .*Dehumidifier/)
    await page.getByText('The picture in words').click()
    for (const sentence of await page.locator('.seasons details p').allInnerTexts()) expect(told).toContain(sentence)
    const sizes = await picture.evaluate((svg) =>
      [...svg.querySelectorAll('text')].map((text) => Number.parseFloat(getComputedStyle(text).fontSize)),
    )
    expect(Math.min(...sizes)).toBeGreaterThanOrEqual(12)
    await faultless(page)
  }
})

test('a class of letters is stopped alone; alarms only after a plain question, and the firm is told', async () => {
  const { parts, address, path } = await owned()
  const page = await open({ address }, path, { width: 390 })
  const choices = page.getByRole('region', { name: 'Which letters' })
  await choices.getByLabel('The regular summary').click()
  await choices.getByText('Stopped: the regular summary.').waitFor()
  const alarms = choices.getByLabel(/^Alarms/)
  expect(await alarms.isChecked()).toBe(true)
  await alarms.click()
  const question = page.getByRole('alertdialog', { name: /^Stop the alarms/ })
  await question.getByText(/contractor is told/).waitFor()
  await faultless(page)
  await question.getByRole('button', { name: 'Keep the alarms' }).click()
  expect(await alarms.isChecked()).toBe(true)
  const told = () => parts.db.raw.prepare(`select count(*) from letters where kind = 'alarms stopped'`).pluck().get()
  expect(told()).toBe(0)
  await alarms.click()
  await question.getByRole('button', { name: 'Stop the alarms' }).click()
  await choices.getByText('Stopped: alarms about water, freezing and power.').waitFor()
  await expect.poll(() => alarms.isChecked()).toBe(false)
  expect(told()).toBe(1)
  await page.reload()
  await expect.poll(() => choices.getByLabel('The regular summary').isChecked()).toBe(false)
})

test(`a first visit brings at most ${MOST_KB} kB, font and data among them`, async () => {
  const { parts, address, path } = await owned()
  water(parts)
  const page = await open({ address }, '/forgot', { width: 390 })
  const devtools = await page.context().newCDPSession(page)
  await devtools.send('Network.enable')
  await devtools.send('Network.setCacheDisabled', { cacheDisabled: true })
  let bytes = 0
  devtools.on('Network.loadingFinished', ({ encodedDataLength }) => {
    bytes += encodedDataLength
  })
  await page.goto(address + path)
  await page.getByRole('img', { name: /^Through the seasons/ }).waitFor()
  await page.waitForLoadState('networkidle')
  expect(bytes / 1024).toBeLessThan(MOST_KB)
  expect(bytes / 1024).toBeGreaterThan(45) // the font alone
})

test('the firm sees what the owner sees, without the buttons, and enters whom to call', async () => {
  const service = await serve(true)
  const page = await open(service, `/houses/${OWNED}/owner`, { width: 390 })
  await page.getByRole('img', { name: /^Through the seasons/ }).waitFor()
  expect(await page.getByRole('button', { name: 'I have seen this' }).count()).toBe(0)
  const firm = page.getByRole('form', { name: 'The firm' })
  await firm.getByLabel('Name').fill('Dry Joists (invented)')
  await firm.getByLabel('Phone').fill('555 0199')
  await firm.getByRole('button', { name: 'Store the firm' }).click()
  await page.getByRole('link', { name: 'Call 555 0199' }).waitFor()
  await faultless(page)
})
