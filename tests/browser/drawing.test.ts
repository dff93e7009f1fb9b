/** The section drawing in a real browser: words with their real widths, the pointer, keys, paper. */
import type { Page } from 'playwright-core'
import { expect, test } from 'vitest'
import { DEMO, open, serve } from './support.ts'

/** Words of the drawing that cover one another or stand outside it, as the browser sets them. */
const faultsOfWords = (page: Page): Promise<string[]> =>
  page.evaluate(() =>
    [...document.querySelectorAll<SVGSVGElement>('.section-drawing')].flatMap((svg) => {
      const sheet = svg.getBoundingClientRect()
      const words = [...svg.querySelectorAll('text')].map((text) => ({
        said: text.textContent,
        box: text.getBoundingClientRect(),
      }))
      return words.flatMap(({ said, box }, i) => [
        ...(box.left < sheet.left - 1 || box.right > sheet.right + 1 ? [`outside: ${said}`] : []),
        ...words.slice(i + 1).flatMap((other) => {
          const across = Math.min(box.right, other.box.right) - Math.max(box.left, other.box.left)
          const down = Math.min(box.bottom, other.box.bottom) - Math.max(box.top, other.box.top)
          return across > 1 && down > 3 ? [`${said} / ${other.said}`] : []
        }),
      ])
    }),
  )

test('no words cover others in any form, through the year and beside a work', async () => {
  const service = await serve(true)
  for (const width of [1280, 1000, 768, 390, 360]) {
    const page = await open(service, DEMO, { width })
    const drawing = page.getByRole('region', { name: 'The house in section' })
    await drawing.locator('[data-path=ground]').waitFor()
    expect([width, 'now', await faultsOfWords(page)]).toEqual([width, 'now', []])
    for (const day of ['40', '180', '320', '420']) {
      await drawing.getByRole('slider').fill(day)
      expect([width, day, await faultsOfWords(page)]).toEqual([width, day, []])
    }
    await drawing.getByLabel('Before and after').selectOption({ index: 3 })
    await drawing.getByRole('table', { name: /^Before and after/ }).waitFor()
    expect([width, 'pair', await faultsOfWords(page)]).toEqual([width, 'pair', []])
  }
})

test('an arrow is named when it is pointed at or reached by keys; the slider goes by days and months', async () => {
  const page = await open(await serve(true), DEMO)
  const drawing = page.getByRole('region', { name: 'The house in section' })
  await drawing.locator('[data-path=outdoorAir]').hover()
  expect(await drawing.locator('.drawing-named').innerText()).toMatch(/^outdoor air: [\d.]+ pints a day, 90 % interval/)
  await drawing.locator('[data-path=ground]').focus()
  expect(await drawing.locator('.drawing-named').innerText()).toMatch(/^ground: /)
  const slider = drawing.getByRole('slider')
  await slider.focus()
  const said = () => slider.getAttribute('aria-valuetext')
  expect(await said()).toBe('August 31, 2026')
  await slider.press('PageDown')
  expect(await said()).toBe('July 31, 2026')
  await slider.press('ArrowLeft')
  expect(await said()).toBe('July 30, 2026')
})

test('on paper the drawing is as wide as paper, and its tables are there', async () => {
  const page = await open(await serve(true), DEMO)
  const drawing = page.getByRole('region', { name: 'The house in section' })
  await drawing.locator('[data-form=wide]').waitFor()
  await page.emulateMedia({ media: 'print' })
  await drawing.locator('[data-form=phone]').waitFor()
  expect(await drawing.getByRole('table', { name: 'Spots' }).isVisible()).toBe(true)
  expect(await drawing.getByRole('table', { name: /^Water, pints a day/ }).isVisible()).toBe(true)
  expect(await drawing.getByRole('slider').isVisible()).toBe(false)
  await page.emulateMedia({ media: 'screen' })
  await drawing.locator('[data-form=wide]').waitFor()
})
