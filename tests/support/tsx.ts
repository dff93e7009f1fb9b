/** Starts a TypeScript file as a program of its own. */
import { type ChildProcessByStdio, spawn } from 'node:child_process'
import { once } from 'node:events'
import { createInterface } from 'node:readline'
import type { Readable } from 'node:stream'
import { fileURLToPath } from 'node:url'

const LOADER = import.meta.resolve?.('tsx') ?? 'tsx'

export type Program = ChildProcessByStdio<null, Readable, Readable>

/** @param env beside what this process has */
export const startProgram = (
  moduleUrl: string,
  args: readonly string[],
  env: Readonly<Record<string, string>> = {},
): Program =>
  spawn(process.execPath, ['--import', LOADER, fileURLToPath(moduleUrl), ...args], {
    stdio: ['ignore', 'pipe', 'pipe'],
    env: { ...process.env, ...env },
  })

/** Hands over each line the program prints; resolves when it has ended. Returns its exit code, signal and error text. */
export async function followProgram(
  program: Program,
  onLine: (line: string) => void,
): Promise<{ code: number | null; signal: string | null; errors: string }> {
  let errors = ''
  program.stderr.on('data', (chunk) => (errors += chunk))
  createInterface({ input: program.stdout }).on('line', onLine)
  const [code, signal] = (await once(program, 'close')) as [number | null, string | null]
  return { code, signal, errors }
}
