/**
 * What-ifs over a real socket on the demo house, as its page asks them: the first question (the house is fitted), then the
 * middle (goal 100 ms) and the interval (goal 1 s), the middle while an interval is being worked out, and what the kept
 * house holds in memory. The goals are of a question that waits for nobody.
 */
import { startService } from '../../server/cli/runService.ts'
import { demoDatabase } from '../browser/setup.ts'

const ROUNDS = 40
const databasePath = await demoDatabase()
const memoryBefore = process.memoryUsage.rss()
const service = await startService({
  door: 'open on this machine',
  databasePath,
  host: '127.0.0.1',
  port: 0,
  now: Date.now,
  log: false,
})

async function ask(part: 'middle' | 'interval', setRhPct: number, asker = 'bench'): Promise<number> {
  const started = performance.now()
  const answer = await fetch(`${service.address}/api/houses/demo-fernhollow/whatif`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({
      part,
      remedies: [{ kind: 'vents sealed' }, { kind: 'dehumidifier', details: { ratedLPerDay: 33, setRhPct } }],
    }),
  })
  if (!answer.ok) throw new Error(`${asker}: ${answer.status} ${await answer.text()}`)
  await answer.json()
  return performance.now() - started
}

function row(name: string, times: number[]): void {
  const sorted = [...times].sort((a, b) => a - b)
  const at = (share: number) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))]!.toFixed(0)
  console.log(`${name.padEnd(44)} p50 ${at(0.5).padStart(5)} ms, p99 ${at(0.99).padStart(5)} ms`)
}

console.log(`first question                               ${(await ask('middle', 50)).toFixed(0)} ms`)
const one = async (part: 'middle' | 'interval', rounds: number) => {
  const times: number[] = []
  for (let i = 0; i < rounds; i++) times.push(await ask(part, 45 + (i % 20)))
  return times
}
row('middle (goal 100 ms)', await one('middle', ROUNDS))
row('interval (goal 1 s)', await one('interval', ROUNDS / 2))
const beside: number[] = []
for (let i = 0; i < ROUNDS / 2; i++) {
  const interval = ask('interval', 45 + i).catch(() => 0)
  await new Promise((wait) => setTimeout(wait, 30))
  beside.push(await ask('middle', 45 + i))
  await interval
}
row('middle asked 30 ms into an interval', beside)
console.log(
  `memory grown by ${((process.memoryUsage.rss() - memoryBefore) / 2 ** 20).toFixed(0)} MB (the service, its thread, one kept house)`,
)
await service.stop()
