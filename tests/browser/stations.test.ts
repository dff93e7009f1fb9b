/** A station entered by a person: its table looked at, what it leaves open answered, fetched, given to a house. */
import { expect, test } from 'vitest'
import { weatherServer } from '../support/weatherServer.ts'
import { axeFaults, open, serve, sideways } from './support.ts'

const TABLE = ['date;time;temp;rh %', ...[44, 45, 46].map((temp, h) => `03/05/2026;1${h}:00;${temp};6${h}`), ''].join(
  '\n',
)

test.each([390, 1280])('at %d px: looked at, answered, stored, fetched, used by a house', async (width) => {
  const server = await weatherServer((_, response) => void response.end(TABLE))
  const page = await open(await serve(true), '/stations', { width })
  await page.getByRole('button', { name: 'Add a station' }).click()
  const form = page.getByRole('form', { name: 'A new station' })
  await form.getByLabel('Name', { exact: true }).fill('Old mill')
  await form.getByLabel('Address of its table').fill(`${server.origin}/x?key=hush&from={from}`)
  await form.getByLabel('Time zone of its times').fill('UTC')
  await form.getByRole('button', { name: 'Look at its table' }).click()
  await form.getByLabel('day, month, year').click()
  await form.getByLabel('°F 44 becomes').click()
  expect(await axeFaults(page)).toEqual([])
  expect(await sideways(page)).toEqual([])
  await form.getByRole('button', { name: 'Store the station' }).click()

  const mill = page.getByRole('listitem', { name: 'Old mill' })
  await mill.getByRole('button', { name: 'Fetch now' }).click()
  await mill.getByText(/readings stored|were there already/).waitFor()
  await mill.getByText('air 46.0 °F').waitFor() // the third row, answered as °F
  expect(await mill.innerText()).toContain('rain not known')
  expect(await page.locator('body').innerText()).not.toContain('hush')
  await mill.getByText('Which houses use it').click()
  await mill.getByRole('checkbox').first().click()
  await mill.getByText('Used by').waitFor()

  server.answer = (_, response) => void response.end(TABLE.replaceAll('temp', 'warmth outside'))
  await mill.getByRole('button', { name: 'Fetch now' }).click()
  await mill.getByText('needs an answer', { exact: true }).waitFor()
  expect(await axeFaults(page)).toEqual([])
  expect(await sideways(page)).toEqual([])
})
