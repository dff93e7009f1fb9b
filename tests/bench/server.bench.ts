/**
 * What a server must have: bytes on disk for a year of one logger, and memory and processor time of the built service
 * (`npm run build` first) while loggers report. Each logger sends temperature and RH every five minutes, one message a time.
 */
import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { existsSync, mkdtempSync, readFileSync, rmSync, statSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { createInterface } from 'node:readline'
import { connectAsync } from 'mqtt'
import { createIntake } from '../../server/ingest/intake.ts'
import { openDatabase } from '../../server/store/open.ts'
import { refreshHourly } from '../../server/store/refreshHourly.ts'
import { enroll, enrollIn } from '../support/enroll.ts'
import { seeded } from '../support/seeded.ts'

const EVERY_MS = 300_000
const YEAR_MS = 365 * 86_400_000
const BATCH = 1000
const LOGGERS_FOR_DISK = 10
const WATCHED_MS = 30_000
const CLOCK_TICKS_PER_S = 100
const BUILT = resolve('dist/server/main.js')

const folder = mkdtempSync(join(tmpdir(), 'underjoist-server-'))
const mb = (bytes: number) => (bytes / 1e6).toFixed(1)

/** A year as a crawl space has it: seasons, days and noise, in the stored steps. */
async function disk(): Promise<void> {
  const path = join(folder, 'disk.db')
  const db = openDatabase(path)
  const probes = enroll(db, LOGGERS_FOR_DISK)
  const empty = statSync(path).size
  const intake = createIntake(db, { now: Date.now })
  const random = seeded(1)
  const from = Date.UTC(2025, 0, 1)
  for (const { probeId } of probes) {
    for (let at = from; at < from + YEAR_MS; at += BATCH * EVERY_MS) {
      const rows = Array.from({ length: BATCH }, (_, i) => {
        const t = at + i * EVERY_MS
        const season = Math.sin((t / YEAR_MS) * 2 * Math.PI - 2)
        const day = Math.sin((t / 86_400_000) * 2 * Math.PI)
        return {
          at: t,
          tempC: Number((15 + 8 * season + day + random() * 0.3).toFixed(2)),
          rhPct: Number((75 + 10 * season - 2 * day + random()).toFixed(2)),
        }
      })
      await intake.receive(probeId, rows)
    }
  }
  const readings = statSync(path).size
  await refreshHourly(db)
  db.raw.pragma('wal_checkpoint(TRUNCATE)')
  const whole = statSync(path).size
  db.close()
  console.log(
    `a year of one logger, a reading every 5 min: ${mb((whole - empty) / LOGGERS_FOR_DISK)} MB (${mb((readings - empty) / LOGGERS_FOR_DISK)} MB before hour values)`,
  )
}

const usage = (pid: number) => {
  // After the name in brackets: utime and stime are the 12th and 13th.
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1]!.split(' ')
  const rssKB = Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))![1])
  return { cpuS: (Number(fields[11]) + Number(fields[12])) / CLOCK_TICKS_PER_S, rssMB: rssKB / 1024 }
}

async function serving(loggers: number): Promise<void> {
  const path = join(folder, `serving-${loggers}.db`)
  const enrolled = enrollIn(path, loggers)
  const env = { ...process.env, UNDERJOIST_DB: path, PORT: '0', MQTT_PORT: '0' }
  const service = spawn(process.execPath, [BUILT], { env, stdio: ['ignore', 'pipe', 'inherit'] })
  let mqtt = ''
  const lines = createInterface({ input: service.stdout })
  for await (const line of lines) {
    mqtt = (JSON.parse(line) as { broker?: { address: string } }).broker?.address ?? ''
    if (mqtt !== '') break
  }
  service.stdout.resume()
  const clients = []
  for (const { key, secret } of enrolled) {
    const login = { clientId: key, username: key, password: secret }
    clients.push(await connectAsync(mqtt, { ...login, protocolVersion: 4, reconnectPeriod: 0 }))
  }
  await new Promise((later) => setTimeout(later, 5000))
  const before = usage(service.pid!)
  const began = performance.now()
  const gapMs = EVERY_MS / loggers
  let sent = 0
  for (; performance.now() - began < WATCHED_MS; sent++) {
    const i = sent % loggers
    const body = { run: 'b', seq: Math.floor(sent / loggers) + 1, atS: Date.now() / 1000, tempC: 18.25, rhPct: 71.5 }
    await clients[i]!.publishAsync(`underjoist/${enrolled[i]!.key}/readings`, JSON.stringify(body), { qos: 1 })
    await new Promise((later) => setTimeout(later, Math.max(0, (sent + 1) * gapMs - (performance.now() - began))))
  }
  const after = usage(service.pid!)
  const share = (100 * (after.cpuS - before.cpuS)) / ((performance.now() - began) / 1000)
  console.log(
    `${loggers} loggers connected, ${sent} messages in ${WATCHED_MS / 1000} s: ${share.toFixed(1)} % of one core, ${after.rssMB.toFixed(0)} MB resident`,
  )
  for (const client of clients) client.end(true)
  service.kill('SIGTERM')
  await once(service, 'close')
}

await disk()
if (!existsSync(BUILT)) throw new Error(`${BUILT} is not there: npm run build.`)
for (const loggers of [30, 300, 3000]) await serving(loggers)
rmSync(folder, { recursive: true, force: true })
process.exit(0)
