/** The demo house read as a contractor, a stranger and somebody on a phone would read it. */
import { expect, test } from 'vitest'
import { axeFaults, DEMO, open, serve, sideways } from './support.ts'

test('the contractor’s question is answered within the first screen, with reasons, and so is whether it is dry', async () => {
  const page = await open(await serve(true), DEMO)
  const answer = page.getByRole('region', { name: 'Do I need to encapsulate this one?' })
  await answer.waitFor()
  await page.getByText('made the air drier').first().waitFor() // the balance has come
  const box = (await answer.boundingBox())!
  expect(box.y + box.height).toBeLessThan(900)
  expect(await answer.innerText()).toMatch(/^Do I need[^\n]*\n+No\./)
  expect(await answer.getByRole('list', { name: 'Reasons' }).getByRole('listitem').count()).toBeGreaterThan(2)
  expect(await page.locator('h1').innerText()).toMatch(
    /^Damp at one of four spots in the crawl space on August 31, 2026/,
  )
  expect(await page.getByText('invented house').first().isVisible()).toBe(true)
})

test('what the drain did is read with its interval, verdict and grade, and drawn as it was and as it would have been', async () => {
  const page = await open(await serve(true), DEMO)
  const works = page.getByRole('region', { name: 'Did the work do it' })
  const drain = works.getByRole('row', { name: /downspout drain/ })
  await drain.getByText('drier').waitFor()
  expect(await drain.innerText()).toMatch(/−\d+\.\d \(−\d+\.\d to −\d+\.\d\)/)
  await drain.getByRole('button').click()
  expect(await works.getByRole('heading', { level: 3 }).innerText()).toContain('downspout drain')
  await works.getByRole('button', { name: /Days left out/ }).click()
  expect(await works.getByText('the day of the work').first().isVisible()).toBe(true)
  const ink = await works.locator('canvas').evaluate((canvas: HTMLCanvasElement) => {
    const { data } = canvas.getContext('2d')!.getImageData(0, 0, canvas.width, canvas.height)
    return data.some((value) => value !== 0)
  })
  expect(ink).toBe(true)
})

test('sources are told on two bases, by period, and why', async () => {
  const page = await open(await serve(true), DEMO)
  const sources = page.getByRole('region', { name: 'Where the water comes from' })
  await sources.getByRole('table', { name: 'As it is', exact: true }).waitFor()
  expect(await sources.getByRole('table').count()).toBe(2)
  expect(
    await sources
      .getByRole('row', { name: /^ground/ })
      .first()
      .innerText(),
  ).toMatch(/\d+ % \(\d+ to \d+\)/)
  await sources.getByLabel('Period').selectOption({ index: 0 })
  await sources.getByText('outdoor air', { exact: true }).last().click()
  expect(await sources.getByText('Would change it').first().isVisible()).toBe(true)
})

test('a remedy is switched on, a slider moved by keys, and the answer follows; what is held says why', async () => {
  const page = await open(await serve(true), DEMO)
  const what = page.getByRole('region', { name: 'What would it take' })
  await what.getByLabel(/^Dehumidifier/).check()
  const slider = what.getByRole('slider', { name: /Set point/ })
  await slider.focus()
  for (let i = 0; i < 8; i++) await slider.press('ArrowLeft')
  expect(await slider.inputValue()).toBe('47')
  await what.getByText(/The dehumidifier would run [\d,]+ hours/).waitFor({ timeout: 60_000 })
  // The middle comes at once, its interval a moment later.
  const rh = what.getByRole('row', { name: /^RH/ })
  await expect.poll(() => rh.innerText(), { timeout: 20_000 }).toMatch(/−\d+\.\d \(−\d+\.\d to −?\d+\.\d\)/)
})

test('the record is looked at closer by keys and by a drag, and its gaps and figures are there', async () => {
  const page = await open(await serve(true), DEMO)
  const record = page.getByRole('region', { name: 'The record' })
  const chart = record.locator('.record-sheet')
  await record.locator('[data-ready=dewPointC]').waitFor()
  await chart.focus()
  const before = await chart.getAttribute('aria-label')
  await chart.press('+')
  await chart.press('ArrowRight')
  expect(await chart.getAttribute('aria-label')).not.toBe(before)
  await record.getByRole('button', { name: 'wood moisture' }).click()
  await record.locator('[data-ready=woodMcPct]').waitFor()
  await record.getByRole('button', { name: 'RH', exact: true }).click()
  await record.getByText('cannot be compared between seasons').waitFor()
  await record.getByRole('button', { name: 'month' }).click()
  await record.locator('[data-ready=rhPct]').waitFor()
  await record.getByText('The same in figures').click()
  await record.getByRole('row').nth(16).waitFor()
  await record.locator('.record-choices').evaluate((choices) => choices.scrollIntoView())
  const box = (await record.locator('canvas').boundingBox())!
  await page.mouse.move(box.x + 300, box.y + 200)
  await page.mouse.down()
  await page.mouse.move(box.x + 500, box.y + 200, { steps: 4 })
  await page.mouse.up()
  await page.mouse.move(box.x + 420, box.y + 200)
  await record.getByText(/: .*outdoors/).waitFor()
  expect(await record.getByRole('button', { name: 'month' }).getAttribute('aria-pressed')).toBe('false')
})

test('what nobody entered is marked in the record with a letter, and said below it and with the chart', async () => {
  const service = await serve(true)
  // Nothing began by itself in the demo house: its own balance comes with two departures more.
  const page = await open(service, '/')
  await page.route(/\/balance$/, async (route) => {
    const answer = await route.fetch()
    const body = (await answer.json()) as { balance: { departures: unknown[] } }
    body.balance.departures = [
      { kind: 'leak began', at: Date.UTC(2026, 5, 20), support: 30, size: 'about 2.1 L a day', reason: '' },
      { kind: 'vents opened', at: Date.UTC(2026, 1, 10), support: 9, size: '', reason: '' },
    ]
    await route.fulfill({ response: answer, json: body })
  })
  await page.goto(service.address + DEMO)
  const record = page.getByRole('region', { name: 'The record' })
  const marked = record.getByRole('list', { name: 'Departures marked in the chart' }).getByRole('listitem')
  await marked.first().waitFor()
  expect(await marked.allInnerTexts()).toEqual([
    expect.stringMatching(/^vents opened, since about Feb \d+, 2026$/),
    expect.stringMatching(/^leak began, since about Jun \d+, 2026: about 2\.1 L a day$/),
  ])
  const described = await record.locator('.record-sheet').getAttribute('aria-describedby')
  expect(await page.locator(`#${described!.split(' ').at(-1)}`).innerText()).toContain('vents opened')
  expect(await axeFaults(page)).toEqual([])
})

test('the drawing moves through time by its slider, and says in words what it shows', async () => {
  const page = await open(await serve(true), DEMO)
  const drawing = page.getByRole('region', { name: 'The house in section' })
  const slider = drawing.getByRole('slider')
  await drawing.getByText('The drawing in words').first().click()
  await drawing.getByRole('table', { name: /^Water, pints a day/ }).waitFor()
  const spots = drawing.getByRole('table', { name: 'Spots' }).first()
  expect(await spots.innerText()).toContain('drying')
  await slider.fill('50')
  await drawing.getByText('June 19, 2025').first().waitFor()
  expect(await spots.innerText()).toContain('wet')
  expect(await drawing.locator('[data-path=ground]').first().getAttribute('aria-label')).toMatch(
    /^ground: [\d.]+ pints a day, 90 % interval/,
  )
  await drawing.getByLabel('Before and after').selectOption({ index: 1 })
  expect(await drawing.locator('.section-drawing').count()).toBe(3)
})

test('units are chosen by the person and kept', async () => {
  const page = await open(await serve(true), DEMO)
  await page.getByRole('button', { name: 'SI' }).click()
  await page.getByText('So far, g/kg').waitFor()
  await page.reload()
  await page.getByText('So far, g/kg').waitFor()
  expect(await page.locator('body').innerText()).not.toContain('grains/lb')
})

const PLACES = [
  '/',
  DEMO,
  `${DEMO}/enter`,
  `${DEMO}/bring-in`,
  `${DEMO}/history`,
  '/houses/new',
  '/stations',
  '/sizing',
  '/nowhere',
]

test.each([360, 390, 768, 1280])('no page scrolls sideways at %d px', async (width) => {
  const service = await serve(true)
  for (const path of PLACES) {
    const page = await open(service, path, { width })
    if (path === DEMO) await page.getByRole('region', { name: 'Loggers' }).waitFor()
    expect([path, await sideways(page)]).toEqual([path, []])
  }
})

test.each(['light', 'dark'] as const)('axe finds nothing on any page, %s', async (colorScheme) => {
  const service = await serve(true)
  for (const path of PLACES) {
    const page = await open(service, path, { colorScheme, width: colorScheme === 'dark' ? 390 : 1280 })
    if (path === DEMO) await page.getByRole('table', { name: 'As it is', exact: true }).waitFor()
    expect([path, await axeFaults(page)]).toEqual([path, []])
  }
})

test('printed, the page has its words and tables and none of its buttons', async () => {
  const page = await open(await serve(true), DEMO)
  await page.getByRole('table', { name: 'As it is', exact: true }).waitFor()
  await page.emulateMedia({ media: 'print' })
  expect(await page.getByRole('navigation').first().isVisible()).toBe(false)
  expect(await page.getByRole('table', { name: 'As it is', exact: true }).isVisible()).toBe(true)
  expect((await page.pdf({ format: 'Letter' })).length).toBeGreaterThan(20_000)
})

test('no text is smaller than 12 px as shown, in any form of the drawing', async () => {
  const service = await serve(true)
  for (const width of [360, 820, 1280]) {
    const page = await open(service, DEMO, { width })
    await page.locator('.section-drawing').first().waitFor()
    const smallest = await page.evaluate(() => {
      const drawing = document.querySelector<SVGSVGElement>('.section-drawing')!
      const scale = drawing.getBoundingClientRect().width / drawing.viewBox.baseVal.width
      const sizes = [...drawing.querySelectorAll('text')].map(
        (text) => Number.parseFloat(getComputedStyle(text).fontSize) * scale,
      )
      return Math.min(...sizes)
    })
    expect([width, smallest >= 12]).toEqual([width, true])
  }
})
