/** `demo` as a newcomer runs it: it says what was found, serves the pages, and leaves nothing behind. */
import { readdirSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { expect, test } from 'vitest'
import { followProgram, startProgram } from '../support/tsx.ts'

const CLI = new URL('../../server/cli.ts', import.meta.url).href
const scratchFolders = () => readdirSync(tmpdir()).filter((name) => name.startsWith('underjoist-demo-'))

test('the demo house is loaded, told in a few lines and served, and the scratch database goes with Ctrl+C', async () => {
  const before = scratchFolders()
  const program = startProgram(CLI, ['demo'])
  const lines: string[] = []
  const ended = followProgram(program, (line) => {
    lines.push(line)
    const address = /^Open (http:\S+) in a browser/.exec(line)?.[1]
    if (address) void look(address).finally(() => program.kill('SIGINT'))
  })
  let round: { houses: { key: string; invented: boolean }[] } | undefined
  let page = ''
  let live:
    | { loggers: { standing: string; connected: boolean; probes: { last: { tempC: number } | null }[] }[] }
    | undefined
  async function look(address: string): Promise<void> {
    round = (await (await fetch(`${address}/api/round`)).json()) as typeof round
    page = await (await fetch(address)).text()
    live = (await (await fetch(`${address}/api/loggers?house=demo-live`)).json()) as typeof live
  }
  expect(await ended).toMatchObject({ code: 0, errors: '' })
  expect(lines.length).toBeLessThan(20)
  expect(lines.join('\n')).toMatch(/invented[\s\S]*Encapsulate it\? No\./)
  expect(round!.houses).toMatchObject([
    // Whether its notices are found already is a matter of moments.
    { key: 'demo-fernhollow', invented: true, standing: expect.stringMatching(/^(act|look)$/) },
    { key: 'demo-live', invented: true },
  ])
  expect(live!.loggers).toMatchObject([
    { standing: 'heard', connected: true, probes: [{ last: { tempC: expect.any(Number) } }] },
  ])
  expect(page).toContain('Underjoist')
  expect(scratchFolders().filter((name) => !before.includes(name))).toEqual([])
}, 120_000)
