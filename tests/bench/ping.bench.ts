/** How long the service keeps others waiting while a file of a million rows is brought in over HTTP. Goal: p99 under 50 ms. */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { ImportProgress, KeptFilesAnswer } from '../../server/http/contract/files.ts'
import { TEST_HOUSE } from '../support/studiedHouse.ts'
import { startProgram } from '../support/tsx.ts'

const ROWS = 1_000_000
const EVERY_MS = 60_000
const folder = mkdtempSync(join(tmpdir(), 'underjoist-ping-'))
process.env.MQTT_PORT = 'off' // its program takes it from here
// In a process of its own: making and sending the file must not keep the service from answering.
const database = join(folder, 'ping.db')
const program = startProgram(new URL('../../server/cli.ts', import.meta.url).href, [
  'serve',
  '--port',
  '0',
  '--db',
  database,
])
const service = await new Promise<{ address: string }>((resolve) => {
  program.stdout.on('data', (text) => resolve({ address: /http:\S+/.exec(String(text))![0] }))
})
const post = (path: string, body: unknown) =>
  fetch(service.address + path, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(body),
  })
await post('/api/houses', { house: TEST_HOUSE })

const start = Date.UTC(2023, 0, 1)
const lines = ['time_utc,temp_c,rh_pct']
for (let i = 0; i < ROWS; i++) {
  const at = new Date(start + i * EVERY_MS).toISOString().slice(0, 19)
  lines.push(`${at}Z,${(15 + 5 * Math.sin(i / 700)).toFixed(2)},${(70 + 10 * Math.cos(i / 900)).toFixed(2)}`)
}
const form = new FormData()
form.append('files', new Blob([lines.join('\n')]), 'million.csv')

let on = true
const waits: { phase: string; ms: number }[] = []
let phase = 'upload and look'
const pinging = (async () => {
  while (on) {
    const asked = performance.now()
    await (await fetch(`${service.address}/healthz`)).text()
    waits.push({ phase, ms: performance.now() - asked })
    await new Promise((resolve) => setTimeout(resolve, 5))
  }
})()

const began = performance.now()
const { files } = (await (
  await fetch(`${service.address}/api/houses/test-house/files`, { method: 'POST', body: form })
).json()) as KeptFilesAnswer
const [file] = files
if (!file?.look.ok) throw new Error('The file of the bench must be understood.')
const probes = { [file.look.understanding.probes[0]!.probeKey]: { newAtSpot: 'crawl/mid' } }
phase = 'storing'
const { importId } = (await (
  await post(`/api/houses/test-house/files/${file.file}/store`, { answers: file.answers, probes })
).json()) as { importId: number }
for (;;) {
  const { state } = (await (
    await fetch(`${service.address}/api/imports/${importId}/progress`)
  ).json()) as ImportProgress
  if (state !== 'waiting' && state !== 'running') break
  await new Promise((resolve) => setTimeout(resolve, 100))
}
const seconds = (performance.now() - began) / 1000
on = false
await pinging

console.log(`${ROWS.toLocaleString('en-US')} rows in ${seconds.toFixed(1)} s`)
console.log('while               pings    median ms      p99 ms     most ms')
for (const name of ['upload and look', 'storing']) {
  const ms = waits
    .filter((wait) => wait.phase === name)
    .map((wait) => wait.ms)
    .sort((a, b) => a - b)
  const at = (share: number) => (ms[Math.min(ms.length - 1, Math.floor(ms.length * share))] ?? Number.NaN).toFixed(1)
  console.log(
    `${name.padEnd(20)}${String(ms.length).padStart(5)}${at(0.5).padStart(13)}${at(0.99).padStart(12)}${at(1).padStart(12)}`,
  )
}
program.kill('SIGINT')
await new Promise((resolve) => program.once('close', resolve))
rmSync(folder, { recursive: true, force: true })
