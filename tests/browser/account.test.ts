/** People and their accounts in a real browser: the first run, guessing, a session that ends at work, an owner's link. */
import type { Page } from 'playwright-core'
import { expect, onTestFinished, test } from 'vitest'
import { buildService, type ServiceParts } from '../../server/cli/runService.ts'
import { scratchFolder } from '../support/database.ts'
import {
  codeOf,
  OTHER_HOUSE,
  OWN_HOUSE,
  PASSWORD,
  PEOPLE,
  type SignedInService,
  signedInService,
} from '../support/signedIn.ts'
import { axeFaults, open, sideways } from './support.ts'

const WIDTHS = [390, 1280]
const at = (address: string) => ({ address })

async function listening({ app }: ServiceParts): Promise<{ address: string }> {
  return at(await app.listen({ host: '127.0.0.1', port: 0 }))
}

/** With people in it, at the address where it is opened. */
async function served(): Promise<SignedInService & { address: string }> {
  const service = await signedInService({ publicUrl: 'http://127.0.0.1' })
  return { ...service, ...(await listening(service.parts)) }
}

async function signIn(page: Page, email: string, password = PASSWORD): Promise<void> {
  await page.getByLabel('E-mail address').fill(email)
  await page.getByLabel('Password', { exact: true }).fill(password)
  await page.getByRole('button', { name: 'Sign in', exact: true }).click()
}

async function faultless(page: Page): Promise<void> {
  expect(await axeFaults(page)).toEqual([])
  expect(await sideways(page)).toEqual([])
}

test.each(WIDTHS)('at %d px: the first account is opened by the code, and then people are let in', async (width) => {
  const parts = await buildService({
    door: 'sign-in',
    databasePath: `${scratchFolder()}/underjoist.db`,
    publicUrl: 'http://127.0.0.1',
    now: Date.now,
    log: false,
  })
  onTestFinished(() => parts.stop())
  const page = await open(await listening(parts), '/first', { width })
  await page.getByRole('heading', { name: 'Open the first account' }).waitFor()
  await faultless(page)
  const fill = async (code: string, password: string) => {
    await page.getByLabel('Code of the first run').fill(code)
    await page.getByLabel('Name of the firm').fill('Invented Crawl Space Company')
    await page.getByLabel('Your name').fill('Con Tractor')
    await page.getByLabel('Your e-mail address').fill('con@example.com')
    await page.getByLabel('Password', { exact: true }).fill(password)
    await page.getByRole('button', { name: 'Open the account' }).click()
  }
  await fill('not the code', PASSWORD)
  await page.getByText('The code is not good').waitFor()
  await fill((await parts.people.firstCode())!, 'password1234')
  await page.locator('[data-path="/password"] .fault').waitFor()
  await faultless(page)
  await fill((await parts.people.firstCode())!, PASSWORD)
  await page.getByRole('heading', { name: 'No house yet' }).waitFor()
  expect(new URL(page.url()).pathname).toBe('/')

  await page.getByRole('link', { name: 'People', exact: true }).click()
  const form = page.getByRole('form', { name: 'Let somebody in' })
  await form.getByLabel('Name', { exact: true }).fill('Tess Nician')
  await form.getByLabel('E-mail address').fill('tess@example.com')
  await form.getByRole('button', { name: 'Invite them' }).click()
  await page.getByRole('heading', { name: 'Tess Nician is invited' }).waitFor()
  const invitation = await page.locator('.hand-over code').innerText()
  await page.getByText('Change or close: Tess Nician').click()
  await faultless(page)

  const theirs = await open(at(new URL(page.url()).origin), `/password#${codeOf(invitation)}`, { width })
  expect(new URL(theirs.url()).hash).toBe('')
  await faultless(theirs)
  await theirs.getByLabel('New password', { exact: true }).fill('another set of joists')
  await theirs.getByRole('button', { name: 'Set the password and sign in' }).click()
  await theirs.getByText('No house has been given to you').waitFor()
  const pages = theirs.getByRole('navigation', { name: 'Pages' })
  expect(await pages.getByRole('link').allInnerTexts()).toEqual(['Round', 'Loggers', 'Sizing'])
  expect(await theirs.getByRole('link', { name: 'Weather stations' }).count()).toBe(0)

  await page.getByRole('button', { name: 'Sign out' }).click()
  await page.getByRole('heading', { name: 'Sign in', exact: true }).waitFor()
})

test.each(WIDTHS)('at %d px: who guesses passwords is told to wait', async (width) => {
  const page = await open(await served(), '/', { width })
  await faultless(page)
  const { email } = PEOPLE.technician
  await signIn(page, email, 'not the password')
  await page.getByText('do not belong together').waitFor()
  await faultless(page)
  for (let i = 0; i < 12 && (await page.getByText('There were too many').count()) === 0; i++) {
    await signIn(page, email, `guess number ${i}`)
    await page.getByRole('button', { name: 'Sign in', exact: true, disabled: false }).waitFor()
  }
  await signIn(page, email)
  await page.getByText('There were too many').waitFor()
  await page.getByText(/Try again in \d/).waitFor()
  await page.getByRole('link', { name: 'Forgot the password' }).click()
  await page.getByLabel('E-mail address').fill(email)
  await page.getByRole('button', { name: 'Send the letter' }).click()
  await page.getByText(`If ${email} has an account here`).waitFor()
  await faultless(page)
})

test.each(WIDTHS)(
  'at %d px: a session ended elsewhere is out at its next step, and what was typed goes on',
  async (width) => {
    const service = await served()
    const work = await open(service, `/houses/${OWN_HOUSE}/enter`, { width })
    await signIn(work, PEOPLE.technician.email)
    await work.getByLabel('Town').fill('Typed before the end')

    const home = await open(service, '/account', { width })
    await signIn(home, PEOPLE.technician.email)
    await home.getByRole('heading', { name: 'Where you are signed in' }).waitFor()
    await home.getByText('this one').waitFor()
    await faultless(home)
    await home.getByRole('button', { name: 'End all others' }).click()
    await home.getByText(/sessions? ended/).waitFor()

    await work.getByRole('button', { name: 'Store the changes' }).click()
    await work.getByRole('heading', { name: 'Sign in again' }).waitFor()
    expect(await work.getByLabel('Town').isVisible()).toBe(false)
    await faultless(work)
    await signIn(work, PEOPLE.technician.email)
    await work.getByText('Stored. It can be undone under History.').waitFor()
    expect(await work.getByLabel('Town').inputValue()).toBe('Typed before the end')

    const tokens = home.getByRole('form', { name: 'A new token' })
    await tokens.getByLabel('What program it is for').fill('gateway')
    await tokens.getByRole('button', { name: 'Make a token' }).click()
    await home.getByRole('heading', { name: 'The token “gateway”' }).waitFor()
    await faultless(home)
    await home.getByRole('button', { name: 'Revoke: gateway' }).click()
    await home.getByRole('button', { name: 'Revoke it' }).click()
    await home.getByText('Revoked: gateway.').waitFor()
  },
)

test.each(WIDTHS)('at %d px: an owner’s link opens its house alone, until it is taken back', async (width) => {
  const service = await served()
  const desk = await open(service, `/houses/${OWN_HOUSE}/people`, { width })
  await signIn(desk, PEOPLE.contractor.email)
  await desk.getByRole('button', { name: 'Make a link: Olive Owner' }).click()
  await desk.getByRole('heading', { name: 'The link of Olive Owner' }).waitFor()
  await faultless(desk)
  const link = codeOf(await desk.locator('.hand-over code').innerText())

  const owner = await open(service, `/owner#${link}`, { width })
  await owner.getByText('Own house').first().waitFor()
  expect(owner.url()).not.toContain(link)
  await faultless(owner)
  const ask = (path: string) => owner.evaluate((url) => fetch(url).then(({ status }) => status), path)
  expect(await ask(`/api/houses/${OWN_HOUSE}/record`)).toBe(200)
  expect(await ask(`/api/houses/${OTHER_HOUSE}/record`)).toBe(404)
  expect(await ask('/api/round')).toBe(403)
  await owner.goto(`${service.address}/houses/${OTHER_HOUSE}`)
  await owner.getByRole('heading', { name: 'There is no such page' }).waitFor()

  await desk.getByRole('button', { name: /^Take it back/ }).click()
  await desk.getByRole('button', { name: 'Take it back', exact: true }).click()
  await desk.getByText('The link of Olive Owner opens nothing any more.').waitFor()
  await owner.goto(`${service.address}/owner`)
  await owner.getByRole('heading', { name: 'Sign in' }).waitFor()
  await owner.goto('about:blank')
  await owner.goto(`${service.address}/owner#${link}`)
  await owner.getByRole('heading', { name: 'This link does not open the door' }).waitFor()
  await faultless(owner)
})

test('whoever is signed in is asked before a link of somebody else’s puts them out', async () => {
  const service = await served()
  const made = await service.as('contractor')({
    method: 'POST',
    url: `/api/houses/${OWN_HOUSE}/links`,
    payload: { personId: service.id('owner'), days: 9 },
  })
  const page = await open(service, '/')
  await signIn(page, PEOPLE.contractor.email)
  await page.getByRole('link', { name: 'Own house' }).waitFor()
  await page.goto(`${service.address}/owner#${codeOf(made.json().address)}`)
  await page.getByRole('heading', { name: 'Open this link as the owner?' }).waitFor()
  expect(await axeFaults(page)).toEqual([])
  await page.getByRole('button', { name: 'Open it' }).click()
  await page.getByText('Own house').first().waitFor()
  await page.getByRole('group', { name: 'Signed in' }).getByText('Olive Owner').waitFor()
})
