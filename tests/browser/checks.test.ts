/** A check begun on a phone and given up again; the coach; both without a fault for those who cannot see. */
import { expect, test } from 'vitest'
import { axeFaults, open, serve, sideways } from './support.ts'

test('on a phone: choose the check and its probes, begin, watch, give up; nothing is left changed', async () => {
  const page = await open(await serve(true), '/checks', { width: 390 })
  await page.getByLabel('Over a salt').check()
  await page.getByLabel('Salt, and the RH').selectOption({ label: 'lithium chloride, 11.3 %' })
  expect(await page.getByText('Harmful if swallowed').isVisible()).toBe(true)
  expect(await page.getByRole('button', { name: 'The box is closed' }).isDisabled()).toBe(true)
  await page.getByLabel('Box 1, air').check()
  expect(await axeFaults(page)).toEqual([])
  expect(await sideways(page)).toEqual([])
  await page.getByRole('button', { name: 'The box is closed' }).click()
  await page.getByRole('heading', { name: 'Check over a salt' }).waitFor()
  await page.getByText('Settling: about 12 h to go.').waitFor()
  expect(await page.getByText('Not heard since the box was closed').isVisible()).toBe(true)
  expect(await axeFaults(page)).toEqual([])
  expect(await sideways(page)).toEqual([])
  await page.getByRole('button', { name: 'Give it up' }).click()
  await page.getByText('Given up: nothing was stored.').waitFor()
  await page.getByRole('link', { name: 'Checks' }).click()
  await page.getByRole('region', { name: 'Earlier checks' }).getByText('Given up').waitFor()
  expect(await page.getByLabel('Box 1, air').isEnabled()).toBe(true)
})

test('the coach tells what is missing, why, and what is there already; dark and narrow', async () => {
  const page = await open(await serve(true), '/checks', { width: 360, colorScheme: 'dark' })
  const coach = page.getByRole('region', { name: 'Where the next logger goes' })
  await coach.getByLabel('House').selectOption({ index: 1 })
  await coach.getByText('There already').waitFor()
  expect(await coach.getByText('one surface temperature at the coldest surface').isVisible()).toBe(true)
  expect(await coach.getByText('call an electrician first').isVisible()).toBe(true)
  expect(await coach.getByText('Outdoor air is measured at the house.').isVisible()).toBe(true)
  expect(await axeFaults(page)).toEqual([])
  expect(await sideways(page)).toEqual([])
})
