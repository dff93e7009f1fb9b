/** A logger's life on a phone: enrolled, its secret told once, labeled, hung, photographed, visited, swapped, retired. */
import { connectAsync } from 'mqtt'
import type { Page } from 'playwright-core'
import { expect, onTestFinished, test } from 'vitest'
import { axeFaults, DEMO, open, serve, sideways } from './support.ts'

const HOUSE = { label: '14 Fernhollow Lane (invented)' }
const DOT_PNG = Buffer.from(
  'iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNkYPhfDwAChwGA60e6kgAAAABJRU5ErkJggg==',
  'base64',
)

async function faultless(page: Page): Promise<void> {
  expect(await axeFaults(page)).toEqual([])
  expect(await sideways(page)).toEqual([])
}

/** @returns the key of the logger, made of its code */
async function enroll(page: Page, name: string): Promise<string> {
  await page.getByLabel('Name').fill(name)
  await page.getByRole('combobox', { name: 'House' }).selectOption(HOUSE)
  await page.getByRole('button', { name: 'Enroll the logger' }).click()
  await page.getByRole('heading', { name: 'One logger is enrolled' }).waitFor()
  return (await page.getByText(/^underjoist\/.*\/readings$/).innerText()).split('/')[1]!
}

test('from enrolling to the visit, on a phone', async () => {
  const service = await serve(true)
  const page = await open(service, '/loggers', { width: 390 })
  await page.getByRole('link', { name: 'Box 3, with wood pins' }).waitFor()
  await faultless(page)
  await page.getByRole('link', { name: 'Enroll loggers' }).click()
  await page.getByRole('combobox', { name: 'House' }).waitFor()
  await faultless(page)
  const key = await enroll(page, 'Crawl box')
  expect(key).toMatch(/^logger-[a-z0-9]{5}$/)

  // The secret is here, and nowhere again.
  await page.getByText('The secret is shown this once.').waitFor()
  const secret = await page.locator('code').nth(1).innerText()
  expect(secret).toMatch(/^[0-9a-zA-Z_-]{20,}$/)
  await faultless(page)
  const opening = page.waitForEvent('popup')
  await page.getByRole('link', { name: /Print the label/ }).click()
  const sheet = await opening
  const label = sheet.getByRole('listitem').filter({ hasText: 'Crawl box' })
  await label.getByRole('img', { name: `QR code of ${service.address}/loggers/${key}` }).waitFor()
  expect(await label.locator('path').getAttribute('d')).toMatch(/^M4 4h7v1H4z/)
  const code = key.slice('logger-'.length).toUpperCase()
  expect(await label.innerText()).toContain(code)
  expect(await sheet.content()).not.toContain(secret)
  await faultless(sheet)
  await sheet.close()

  // By the code on the label to its page.
  await page.getByRole('navigation', { name: 'Pages' }).getByRole('link', { name: 'Loggers' }).click()
  await page.getByLabel('Code on the label').fill(code.toLowerCase())
  await page.getByRole('button', { name: 'Open' }).click()
  await page.getByRole('heading', { name: 'Crawl box' }).waitFor()
  await page.waitForURL(`**/loggers/${key}`)
  expect(await page.getByRole('region', { name: 'What is heard of it' }).innerText()).toContain('Never heard yet')
  expect(await page.content()).not.toContain(secret)

  // In, hung, photographed, out.
  expect(await page.getByText('Humidity loggers see none of this.').isVisible()).toBe(true)
  await page.getByRole('button', { name: 'I am under the house' }).click()
  await page.getByText('Somebody is under the house').waitFor()
  await page
    .getByRole('combobox', { name: 'Spot' })
    .selectOption({ label: 'Crawl space: Southeast corner, mid height' })
  await faultless(page)
  await page.getByRole('button', { name: 'It hangs there' }).click()
  await page.getByText('It was not heard since it hangs there.').waitFor()
  await page.getByText('It hangs there now. It can be undone under History of 14 Fernhollow Lane').waitFor()
  expect(await page.getByRole('heading', { name: 'Where it hangs', exact: true }).isVisible()).toBe(true)
  await page.locator('input[type=file]').setInputFiles([{ name: 'p.png', mimeType: 'image/png', buffer: DOT_PNG }])
  await page.getByText('The photo is kept.').waitFor()
  const photo = page.getByRole('img', { name: `${key} where it hangs` })
  await photo.waitFor()
  expect(await photo.evaluate((img: HTMLImageElement) => img.decode().then(() => img.naturalWidth))).toBe(1)
  await page.getByRole('button', { name: 'I am out' }).click()
  await page.getByText('Out. The readings of this visit are left out').waitFor()
  await faultless(page)

  await page.getByRole('link', { name: 'History of 14 Fernhollow Lane' }).first().click()
  await page.getByText('came out from under the house', { exact: true }).waitFor()
  expect(await page.getByText(`placed logger ${key}`).count()).toBeGreaterThan(0)
})

test('whoever hung it sees by itself that it is heard from there, and what was refused of it', async () => {
  const service = await serve(true, { kind: 'own', host: '127.0.0.1', port: 0 })
  const page = await open(service, '/loggers/new', { width: 390 })
  const key = await enroll(page, 'Crawl box')
  const secret = await page.locator('code').nth(2).innerText() // the broker's address is told first here
  const broker = await page.locator('code').first().innerText()
  expect(broker).toBe(service.intake().broker.address)
  await page.goto(`${service.address}/loggers/${key}`)
  await page
    .getByRole('combobox', { name: 'Spot' })
    .selectOption({ label: 'Crawl space: Southeast corner, mid height' })
  await page.getByRole('button', { name: 'It hangs there' }).click()
  await page.getByText('It was not heard since it hangs there.').waitFor()

  const client = await connectAsync(broker, { username: key, password: secret, clientId: key })
  onTestFinished(() => client.endAsync())
  const send = (payload: object) =>
    client.publishAsync(`underjoist/${key}/readings`, JSON.stringify(payload), { qos: 1 })
  await send({ tempC: 20.11, rhPct: 81.2, batteryV: 3.62, signalDbm: -71 })
  const heard = page.getByRole('region', { name: 'What is heard of it' })
  await heard.getByText('68.2 °F, 81 % RH, dew point').waitFor()
  expect(await heard.innerText()).toMatch(/Heard \d s ago/)
  await heard.getByText(/Heard ([3-9]|\d\d) s ago/).waitFor() // counts by itself
  await page.getByText('It was heard since it hangs there.').waitFor()
  expect(await page.getByRole('region', { name: 'What it tells of itself' }).innerText()).toContain('3.62 V')
  await faultless(page)

  await send({ tempF: 68, rhPct: 81 })
  await page.getByRole('link', { name: 'see why under Refused messages' }).click()
  const refused = page.getByRole('region', { name: 'Refused messages' })
  await refused.getByText('wrong unit').click()
  await refused.getByText('{"tempF":68,"rhPct":81}').waitFor()
  await faultless(page)
  await refused.getByRole('button', { name: /Looked at/ }).click()
  await refused.getByText('None.').waitFor()

  await page.getByRole('navigation', { name: 'About loggers' }).getByRole('link', { name: 'Live' }).click()
  const row = page.getByRole('row', { name: /Crawl box/ })
  await row.getByText('68.2 °F').waitFor()
  await send({ tempC: 15, rhPct: 70 })
  await row.getByText('59.0 °F, 70 % RH').waitFor()
})

test('a refusal stands at its field; moved, named, swapped, picked up, and retired for good', async () => {
  const service = await serve(true)
  const page = await open(service, '/loggers/new', { width: 360, colorScheme: 'dark' })
  await page.getByText('A key of its own').click()
  await page.getByLabel('Key').fill('box-1')
  await page.getByRole('button', { name: 'Enroll the logger' }).click()
  await page.getByText('There is a logger "box-1" already.').waitFor()
  expect(await page.getByLabel('Key').getAttribute('aria-invalid')).toBe('true')
  await faultless(page)
  await page.getByLabel('Key').fill('')
  const key = await enroll(page, 'Spare')

  await page.goto(`${service.address}/loggers/box-1`)
  await page.getByRole('heading', { name: 'Box 1' }).waitFor()
  await page.getByRole('link', { name: 'Bring its file in' }).waitFor() // it has no radio
  await page.getByRole('button', { name: 'Move it' }).click()
  await page
    .getByRole('combobox', { name: 'Spot' })
    .selectOption({ label: 'Crawl space: South side, 4 ft from a vent' })
  await page.getByText('It hangs there since earlier').click()
  await page.getByLabel('Since').fill('2031-01-01T08:00')
  await page.getByRole('button', { name: 'Move it there' }).click()
  await page.locator('[data-path="/at"] .fault').waitFor()
  expect(await page.getByLabel('Since').getAttribute('aria-invalid')).toBe('true')
  await page.getByRole('button', { name: 'Leave it where it is' }).click()

  await page.getByText('Swap it for another').click()
  await page.getByLabel('The other logger').selectOption(key)
  await faultless(page)
  await page.getByRole('button', { name: 'Swap', exact: true }).click()
  await page.getByRole('region', { name: 'What is heard of it' }).getByText('hangs nowhere').waitFor()
  await page.getByText('Swapped: the other one hangs there from now on. It can be undone').waitFor()

  await page.goto(`${service.address}/loggers/${key}`)
  await page.getByRole('region', { name: 'Where it hangs' }).getByText('Northwest low corner').waitFor()
  await page.getByText('Name and interval').click()
  await page.getByLabel('Name').fill('Low corner box')
  await page.getByRole('button', { name: 'Store' }).click()
  await page.getByRole('heading', { name: 'Low corner box' }).waitFor()
  await page.getByText('Its secret').click()
  await page.getByRole('button', { name: 'Revoke it' }).click()
  await page.getByText('It has no secret and cannot sign in.').waitFor()
  await page.getByRole('button', { name: 'Make a secret' }).click()
  await page.getByText('Secret (password)').waitFor()
  await page.getByText('Pick it up').first().click()
  await page.getByRole('button', { name: 'Pick it up' }).click()
  await page.getByRole('heading', { name: 'Place it' }).waitFor()
  await page.getByText('Retire it').first().click()
  await page.getByRole('button', { name: 'Retire it' }).click()
  await page.getByRole('button', { name: 'Yes, retire it' }).click()
  await page.getByText('This logger is retired.').waitFor()
  await faultless(page)
})

test('several at once: a bad probe name is said before anything is sent, each gets a secret of its own', async () => {
  const service = await serve(true)
  const page = await open(service, '/loggers/new', { width: 390 })
  await page.getByLabel('How many alike').fill('3')
  await page.getByLabel('Others').fill('Joist 2')
  await page.getByText('“Joist” has more than small letters').waitFor()
  expect(await page.getByRole('button', { name: 'Enroll 3 loggers' }).isDisabled()).toBe(true)
  await page.getByLabel('Others').fill('joist-2')
  await page.getByRole('button', { name: 'Enroll 3 loggers' }).click()
  await page.getByRole('heading', { name: '3 loggers are enrolled' }).waitFor()
  const told = await page.getByRole('definition').allInnerTexts()
  const secrets = told.map((text) => text.split(/\s/)[0]!).filter((text) => /^[0-9a-f]{32}$/.test(text))
  expect(new Set(secrets).size).toBe(3)
  await page.getByRole('button', { name: 'Copy all secrets' }).waitFor()
  await faultless(page)
  const sheet = page.getByRole('link', { name: /Print labels/ })
  await page.goto(new URL((await sheet.getAttribute('href'))!, service.address).href)
  await page
    .getByRole('img', { name: /QR code/ })
    .nth(2)
    .waitFor()
})

test('an unknown code is said, and the pages stand in the dark and narrow', async () => {
  const service = await serve(true)
  const page = await open(service, '/loggers/ZZZZZ', { width: 360, colorScheme: 'dark' })
  await page.getByRole('heading', { name: 'There is no logger ZZZZZ' }).waitFor()
  await faultless(page)
  for (const [path, text] of [
    ['/loggers', 'No broker is set up'],
    ['/live', 'No logger with radio is enrolled.'],
    ['/loggers/labels?keys=box-1,nobody', 'There is no logger nobody.'],
    ['/loggers/box-1', 'Read out at pick-up'],
  ] as const) {
    await page.goto(service.address + path)
    await page.getByText(text).first().waitFor()
    await faultless(page)
  }
})

test('where live news do not come through, they are asked for; when nothing answers, that is said', async () => {
  const service = await serve(true)
  const page = await open(service, '/houses/new')
  await page.route('**/api/live', (route) => route.abort())
  await page.goto(`${service.address}/loggers`)
  await page.getByRole('link', { name: 'Box 3, with wood pins' }).waitFor()
  await page.getByText('Asked every 10 seconds').waitFor()
  await page.route('**/api/loggers', (route) => route.abort())
  await page.getByText('What stands here grows old').waitFor({ timeout: 30_000 })
  expect(await page.getByRole('link', { name: 'Box 3, with wood pins' }).isVisible()).toBe(true)
})

test('a file read out of a logger finds its way to the spot it hung at', async () => {
  const service = await serve(true)
  const page = await open(service, `${DEMO}/bring-in?logger=box-4`)
  await page.getByRole('heading', { name: 'Bring in readings of Box 4' }).waitFor()
  const lines = Array.from(
    { length: 48 },
    (_, i) =>
      `2026-09-${String(2 + Math.floor(i / 24)).padStart(2, '0')} ${String(i % 24).padStart(2, '0')}:00,21.${i % 10},6${i % 10}.5`,
  )
  const text = ['Time,Temperature (C),RH (%)', ...lines].join('\n')
  await page
    .locator('input[type=file]')
    .setInputFiles([{ name: 'box-4.csv', mimeType: 'text/csv', buffer: Buffer.from(text) }])
  const choice = page.getByLabel(/These readings/)
  await choice.waitFor()
  expect(await choice.evaluate((select: HTMLSelectElement) => select.selectedOptions[0]!.text)).toContain('Box 4')
})
