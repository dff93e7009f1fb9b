/** From nothing to a first house with readings in the chart; a work added and undone; all of it by keyboard where it says so. */
import type { Page } from 'playwright-core'
import { expect, test } from 'vitest'
import { DEMO, open, serve } from './support.ts'

/** Days first, decimal commas, semicolons, a bad line and a faulty value: what a logger set up elsewhere writes. */
function messyFile(): string {
  const lines = ['Logger;crawl 1', '', 'Datum;Temperature (°C);Rel. humidity (%)']
  for (let i = 0; i < 24 * 12; i++) {
    const day = 1 + Math.floor(i / 24)
    const stamp = `${String(day).padStart(2, '0')}/05/2026 ${String(i % 24).padStart(2, '0')}:00`
    lines.push(
      `${stamp};${(17 + Math.sin(i / 4)).toFixed(1).replace('.', ',')};${(74 + 5 * Math.cos(i / 5)).toFixed(1).replace('.', ',')}`,
    )
  }
  lines.splice(40, 0, 'battery changed')
  lines.push('13/05/2026 01:00;17,2;143,0')
  return lines.join('\r\n')
}

const file = () => ({ name: 'crawl-1.csv', mimeType: 'text/csv', buffer: Buffer.from(messyFile()) })

async function firstHouse(page: Page): Promise<void> {
  await page.getByRole('link', { name: 'Enter a first house' }).click()
  await page.getByLabel('Name or address').fill('3 Test Lane')
  await page.getByLabel('Time zone').fill('America/New_York')
  await page.getByLabel(/vented or closed/).selectOption('vented')
  await page.getByRole('button', { name: 'Store the house' }).click()
  await page.getByRole('heading', { name: 'Bring in readings' }).waitFor()
}

test('a first house from nothing: a messy file is understood, corrected, stored, and seen in the chart; then taken back', async () => {
  const page = await open(await serve(false), '/')
  expect(await page.locator('h1').innerText()).toBe('No house yet')
  await firstHouse(page)

  await page
    .locator('input[type=file]')
    .setInputFiles([
      file(),
      { name: 'picture.csv', mimeType: 'text/csv', buffer: Buffer.from([0x89, 0x50, 0x4e, 0x47, 0, 1, 2, 3]) },
    ])
  const mine = page.getByRole('region', { name: 'crawl-1.csv' })
  await mine.getByText('What was understood').waitFor()
  expect(await page.getByRole('region', { name: 'picture.csv' }).innerText()).toContain('cannot be read')
  expect(await mine.getByRole('row').filter({ hasText: '01/05/2026' }).count()).toBeGreaterThan(2) // its own first lines
  const store = mine.getByRole('button', { name: 'Store these readings' })
  const dayFirst = mine.getByRole('radio', { name: /day/i }).first()
  if (await dayFirst.isVisible()) {
    await dayFirst.check()
    await mine.getByText('Looking again.').waitFor({ state: 'hidden' })
  }
  // Correct a column, and correct it back: what becomes of the lines follows.
  const head = mine.getByLabel(/Temperature/)
  await head.selectOption({ label: 'temperature, °F' })
  await mine
    .getByRole('cell', { name: /temperature 1\d\.\d °F/ })
    .first()
    .waitFor()
  await head.selectOption({ label: 'temperature, °C' })
  await mine
    .getByRole('cell', { name: /temperature 6\d\.\d °F/ })
    .first()
    .waitFor()
  await mine.getByLabel(/These readings/).selectOption({ label: 'A new logger at: Crawl space, Low corner' })
  await store.click()
  await mine.getByRole('heading', { name: 'Stored' }).waitFor()
  expect(await mine.getByRole('status').innerText()).toMatch(/2\d\d readings stored/)
  expect(await mine.getByRole('table').innerText()).toContain('143')

  await mine.getByRole('link', { name: 'See it in the house' }).click()
  await page.locator('[data-ready=dewPointC]').waitFor()
  const record = page.getByRole('region', { name: 'The record' })
  await record.getByText('The same in figures').click()
  expect(
    await record
      .getByRole('row', { name: /May 1, 2026/ })
      .first()
      .innerText(),
  ).toMatch(/\d\d\.\d/)

  await page.getByRole('link', { name: 'Bring in readings' }).first().click()
  await page.getByRole('button', { name: 'Undo the import of crawl-1.csv' }).click()
  await page.getByRole('button', { name: 'Yes, take crawl-1.csv back' }).click()
  await page.getByText(/was taken back: 2\d\d readings removed/).waitFor()
})

test('a file that was brought in before is known again', async () => {
  const page = await open(await serve(false), '/')
  await firstHouse(page)
  for (const turn of [1, 2]) {
    await page.locator('input[type=file]').setInputFiles([file()])
    const mine = page.getByRole('region', { name: 'crawl-1.csv' }).last()
    await mine.getByText('What was understood').waitFor()
    if (turn === 2) {
      await mine.getByText('This very file was brought in before').waitFor()
      break
    }
    const dayFirst = mine.getByRole('radio', { name: /day/i }).first()
    if (await dayFirst.isVisible()) await dayFirst.check()
    await mine.getByRole('button', { name: 'Store these readings' }).click()
    await mine.getByRole('heading', { name: 'Stored' }).waitFor()
  }
})

test('a work is added by keyboard, refused at its field while its date is wrong, stored, seen, and undone', async () => {
  const page = await open(await serve(true), `${DEMO}/enter`)
  const add = page.getByRole('button', { name: 'Add a work' })
  await add.focus()
  await page.keyboard.press('Enter')
  const element = page.getByRole('group', { name: /no date yet/ })
  const kind = element.getByLabel('What was done')
  await kind.focus()
  await page.keyboard.press('v') // the first kind that begins so
  const store = page.getByRole('button', { name: 'Store the changes' })
  await store.focus()
  await page.keyboard.press('Enter')
  await page.getByText('The house was not stored').waitFor()
  const day = page.getByLabel('Day it was done').last()
  expect(await day.getAttribute('aria-invalid')).toBe('true')
  await day.focus()
  await page.keyboard.type('08202026')
  await store.focus()
  await page.keyboard.press('Enter')
  await page.getByText('Stored. It can be undone under History.').waitFor()

  await page.getByRole('link', { name: 'History' }).click()
  await page.getByText(/works \/ .*: added/).waitFor()
  await page.getByRole('button', { name: /^Undo/ }).first().click()
  await page.getByText('Undone: corrected the house.').waitFor()
  await page.getByText(/works \/ .*: removed/).waitFor()
})

test('somebody else’s change is not overwritten', async () => {
  const service = await serve(true)
  const [one, other] = [await open(service, `${DEMO}/enter`), await open(service, `${DEMO}/enter`)]
  for (const page of [one, other]) {
    await page.getByLabel('Town').fill(page === one ? 'First town' : 'Second town')
    await page.getByRole('button', { name: 'Store the changes' }).click()
  }
  await one.getByText('Stored. It can be undone').waitFor()
  await other.getByText('Somebody else changed this house').waitFor()
})

test('a round that is empty loads the demo house', async () => {
  const page = await open(await serve(false), '/')
  await page.getByRole('button', { name: 'Load the demo house' }).click()
  await page.getByText('invented house').first().waitFor({ timeout: 60_000 })
  await page.getByRole('link', { name: 'Round' }).click()
  await page.getByRole('link', { name: '14 Fernhollow Lane (invented)' }).waitFor()
})
