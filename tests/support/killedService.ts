/** Kills the service under the load of its loggers, again and again, and checks what is left each time. */
import { join } from 'node:path'
import type { MqttClient } from 'mqtt'
import { expect } from 'vitest'
import { openDatabase } from '../../server/store/open.ts'
import { scratchFolder } from './database.ts'
import { type Enrolled, enrollIn } from './enroll.ts'
import { connectLogger, startLiveService } from './liveService.ts'
import { seeded } from './seeded.ts'

export const AT_S = 1_779_000_000

/** A logger that sends one message after the other, and each again until it is acknowledged. */
export interface Sender {
  logger: Enrolled
  /** The last number that was acknowledged: all up to it were, for it waits for each. */
  acknowledged: number
}

export const tempOf = (sender: number, seq: number): number => ((sender * 37 + seq) % 500) / 10

/** @param most acknowledgments before a kill; where it falls is chance, by the seed */
export async function serviceUnderKills(loggers: number, kills: number, most: number): Promise<void> {
  const path = join(scratchFolder(), 'underjoist.db')
  const senders: Sender[] = enrollIn(path, loggers).map((logger) => ({ logger, acknowledged: 0 }))
  const next = seeded(7)
  for (let kill = 1; kill <= kills; kill++) {
    const service = await startLiveService(path)
    const killAfter = 1 + Math.floor(next() * most)
    let acknowledged = 0
    let killed: Promise<unknown> | undefined
    const clients = await Promise.all(senders.map(({ logger }) => connectLogger(service.mqtt, logger)))
    await Promise.all(
      senders.map((sender, i) =>
        sendUntilCut(clients[i]!, i, sender, () => {
          if (++acknowledged === killAfter) killed = service.end('SIGKILL')
        }),
      ),
    )
    await killed
    for (const client of clients) client.end(true)
    checkAll(path, senders)
  }
  expect(senders.reduce((sum, { acknowledged }) => sum + acknowledged, 0)).toBeGreaterThan(kills * loggers)
}

/** One message after the other, until the connection ends. */
export async function sendUntilCut(
  client: MqttClient,
  index: number,
  sender: Sender,
  onAck: () => void,
): Promise<void> {
  let cut = false
  const over = new Promise<void>((resolve) => client.once('close', resolve)).then(() => {
    cut = true
  })
  while (!cut) {
    const seq = sender.acknowledged + 1
    const body = { run: 'k', seq, atS: AT_S + seq * 60, tempC: tempOf(index, seq) }
    const sent = client.publishAsync(`underjoist/${sender.logger.key}/readings`, JSON.stringify(body), { qos: 1 }).then(
      () => true,
      () => false,
    )
    if (await Promise.race([sent, over.then(() => false)])) {
      sender.acknowledged = seq
      onAck()
    }
  }
}

/** Every acknowledged reading once, with its value; and nothing but one message more, whose acknowledgment was cut off. */
export function checkAll(path: string, senders: readonly Sender[]): void {
  const db = openDatabase(path, { readOnly: true })
  try {
    expect(db.raw.pragma('integrity_check', { simple: true })).toBe('ok')
    for (const [i, { logger, acknowledged }] of senders.entries()) {
      const rows = db.raw
        .prepare('select (at / 1000 - ?) / 60 as seq, temp_c as temp from readings where probe_id = ? order by at')
        .all(AT_S, logger.probeId) as { seq: number; temp: number }[]
      expect(rows.length - acknowledged).toBeGreaterThanOrEqual(0)
      expect(rows.length - acknowledged).toBeLessThanOrEqual(1)
      const wrong = rows.filter(({ seq, temp }, at) => seq !== at + 1 || temp !== Math.round(100 * tempOf(i, seq)))
      expect(wrong).toEqual([])
      const through = db.raw.prepare(
        `select through from sequences s join loggers l on l.id = s.logger_id where l.key = ?`,
      )
      expect(through.pluck().get(logger.key) ?? 0).toBe(rows.length)
    }
  } finally {
    db.close()
  }
}
