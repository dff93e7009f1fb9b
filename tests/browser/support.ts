/** A real browser on the real service: real SQLite file, real sockets, the built pages. */
import { copyFileSync, readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { join } from 'node:path'
import { type Browser, chromium, type Page } from 'playwright-core'
import { afterAll, beforeAll, expect, inject, onTestFinished } from 'vitest'
import { type Service, startService } from '../../server/cli/runService.ts'
import type { BrokerChoice } from '../../server/ingest/mqtt/liveIntake.ts'
import { scratchFolder } from '../support/database.ts'
import { CHROMIUM_ARGS } from './chromium.ts'

let browser: Browser
beforeAll(async () => {
  browser = await chromium.launch({
    executablePath: inject('chromiumPath'),
    args: CHROMIUM_ARGS,
  })
})
afterAll(() => browser.close())

export const DEMO = '/houses/demo-fernhollow'

/**
 * @param demo a copy of the demo house with findings and balance; otherwise an empty database
 * @param broker where loggers send to
 */
export async function serve(demo: boolean, broker?: BrokerChoice): Promise<Service> {
  const databasePath = join(scratchFolder(), 'underjoist.db')
  if (demo) copyFileSync(inject('demoDatabase'), databasePath)
  const service = await startService({
    door: 'open on this machine',
    databasePath,
    host: '127.0.0.1',
    port: 0,
    now: Date.now,
    log: false,
    broker,
  })
  onTestFinished(() => service.stop())
  return service
}

export interface Opened {
  width?: number
  colorScheme?: 'light' | 'dark'
}

/** A page whose every script error fails the test. */
export async function open(
  service: Pick<Service, 'address'>,
  path: string,
  { width = 1280, colorScheme = 'light' }: Opened = {},
): Promise<Page> {
  const context = await browser.newContext({
    viewport: { width, height: width > 700 ? 900 : 844 },
    colorScheme,
    hasTouch: width <= 700,
    reducedMotion: 'reduce', // pages scroll at once, so that what is measured stands still
  })
  const page = await context.newPage()
  const faults: string[] = []
  page.on('pageerror', (error) => faults.push(error.message))
  onTestFinished(async () => {
    await context.close()
    expect(faults).toEqual([])
  })
  await page.goto(service.address + path)
  await page.locator('h1').waitFor()
  return page
}

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')

interface AxeFinding {
  id: string
  nodes: { target: string[]; failureSummary?: string }[]
}

/** Accessibility faults of what is shown, in words; empty when axe finds none. */
export async function axeFaults(page: Page): Promise<string[]> {
  await page.evaluate(AXE)
  const violations = await page.evaluate(
    () =>
      (globalThis as unknown as { axe: { run(): Promise<{ violations: AxeFinding[] }> } }).axe
        .run()
        .then((found) => found.violations) as Promise<AxeFinding[]>,
  )
  return violations.flatMap(({ id, nodes }) =>
    nodes.map(({ target, failureSummary }) => `${id}: ${target.join(' ')} ${failureSummary ?? ''}`),
  )
}

/** What stands wider than the window, in words; nothing may. */
export const sideways = (page: Page): Promise<string[]> =>
  page.evaluate(() => {
    const width = document.documentElement.clientWidth
    if (document.documentElement.scrollWidth <= width) return []
    const wide = [...document.querySelectorAll('body *')].filter(
      (element) => element.getBoundingClientRect().right > width + 1,
    )
    return wide.map((element) => `${element.tagName} ${element.className} ${element.textContent?.slice(0, 30)}`)
  })
