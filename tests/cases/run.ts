/**
 * Runs every house folder below a folder, blind to its truth, and prints the answers as JSON:
 *
 *     npm run -s cases -- DIR [--only 03,05] [--time] > answers.json
 */
import { existsSync, readdirSync } from 'node:fs'
import { availableParallelism } from 'node:os'
import { join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { runInWorker } from '../../server/jobs/inWorker.ts'
import type { CaseAnswers } from './answers.ts'
import type { CaseResult } from './runHouse.ts'

export interface CasesOutput {
  terminal: boolean
  out(text: string): void
  err(text: string): void
}

/** @returns the exit code: 0, 1 when a house failed, 2 when the command was wrong */
export async function runCases(argv: readonly string[], { terminal, out, err }: CasesOutput): Promise<number> {
  const options = { only: { type: 'string' }, time: { type: 'boolean' } } as const
  let parsed: { values: { only?: string; time?: boolean }; positionals: string[] }
  try {
    parsed = parseArgs({ args: [...argv], options, allowPositionals: true })
  } catch (error) {
    err(`${(error as Error).message}\n${USAGE}`)
    return 2
  }
  const folder = parsed.positionals[0]
  if (folder === undefined || parsed.positionals.length > 1 || !existsSync(folder)) {
    err(folder === undefined ? USAGE : `There is no folder ${parsed.positionals.join(' ')}.\n${USAGE}`)
    return 2
  }
  const wanted = parsed.values.only?.split(',').map((text) => text.trim())
  const houses = readdirSync(folder)
    .filter((name) => existsSync(join(folder, name, 'house.json')))
    .filter((name) => wanted === undefined || wanted.some((start) => name === start || name.startsWith(`${start}-`)))
    .sort()
  if (houses.length === 0) {
    err(`No house folder (one with a house.json) ${wanted ? 'of that name ' : ''}in ${folder}.\n`)
    return 2
  }

  const scenarios: Record<string, CaseAnswers> = {}
  let failed = 0
  let done = 0
  const show = (text: string) => terminal && err(`\r\x1b[K${text}`)
  const queue = [...houses]
  const work = async () => {
    for (let name = queue.shift(); name !== undefined; name = queue.shift()) {
      show(`${done} of ${houses.length} houses, working on ${name}`)
      try {
        const moduleUrl = new URL('./runHouse.ts', import.meta.url).href
        const { answers, notes, seconds } = await runInWorker<CaseResult>(moduleUrl, {
          folder: resolve(folder, name),
        })
        scenarios[name] = answers
        show('')
        for (const note of notes) err(`${name}: ${note}\n`)
        if (parsed.values.time) {
          err(`${name}: import ${seconds.import.toFixed(1)} s, analysis ${seconds.analysis.toFixed(1)} s\n`)
        }
      } catch (error) {
        failed++
        show('')
        err(`${name} failed and is left out: ${(error as Error).message}\n`)
      }
      done++
    }
  }
  const workers = Math.min(houses.length, availableParallelism())
  await Promise.all(Array.from({ length: workers }, work))
  show('')
  const inOrder = Object.fromEntries(Object.entries(scenarios).sort(([a], [b]) => (a < b ? -1 : 1)))
  out(`${JSON.stringify({ scenarios: inOrder }, rounded, 1)}\n`)
  return failed > 0 ? 1 : 0
}

/** Four decimals are more than any of the answers is good for. */
const rounded = (_: string, value: unknown) => (typeof value === 'number' ? Number(value.toFixed(4)) : value)

const USAGE = 'Use: npm run -s cases -- DIR [--only 03,05] [--time]\n'

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  process.exitCode = await runCases(process.argv.slice(2), {
    terminal: process.stderr.isTTY === true,
    out: (text) => process.stdout.write(text),
    err: (text) => process.stderr.write(text),
  })
}
