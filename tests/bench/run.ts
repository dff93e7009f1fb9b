/** `npm run bench -- NAME [NAME ...]`: runs tests/bench/NAME.bench.ts, each in a process of its own. */
import { spawnSync } from 'node:child_process'
import { existsSync, readdirSync } from 'node:fs'
import { cpus } from 'node:os'
import { fileURLToPath } from 'node:url'

const folder = fileURLToPath(new URL('.', import.meta.url))
const known = readdirSync(folder)
  .filter((name) => name.endsWith('.bench.ts'))
  .map((name) => name.replace('.bench.ts', ''))
const wanted = process.argv.slice(2).filter((name) => !name.startsWith('-'))
const options = process.argv.slice(2).filter((name) => name.startsWith('-'))
const unknown = wanted.filter((name) => !existsSync(`${folder}${name}.bench.ts`))

if (wanted.length === 0 || unknown.length > 0) {
  if (unknown.length > 0) console.error(`There is no bench named ${unknown.join(', ')}.`)
  console.error(`Usage: npm run bench -- NAME [NAME ...]   (known: ${known.join(', ')})`)
  process.exit(2)
}

const commit = spawnSync('git', ['rev-parse', '--short', 'HEAD'], { encoding: 'utf8' }).stdout?.trim() || 'no commit'
console.log(`commit ${commit}, node ${process.version}, ${cpus().length} × ${cpus()[0]?.model ?? 'unknown processor'}`)
for (const name of wanted) {
  console.log(`\n## ${name}`)
  const run = spawnSync(process.execPath, ['--import', 'tsx', `${folder}${name}.bench.ts`, ...options], {
    stdio: 'inherit',
  })
  if (run.status !== 0) process.exit(run.status ?? 1)
}
