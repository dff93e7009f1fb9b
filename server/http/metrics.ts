/** `GET /metrics`: figures for whoever watches over the machine, in the text form that Prometheus reads. */

import { type FastifyPluginAsyncTypebox, Type } from '@fastify/type-provider-typebox'
import { Counter, collectDefaultMetrics, Gauge, Histogram, Registry } from 'prom-client'
import type { IntakeState } from '../ingest/mqtt/liveIntake.ts'
import { OUTCOMES, type Taken } from '../ingest/mqtt/receiver.ts'
import { CONTRACTOR } from './access.ts'

export interface Metrics {
  /** Told after each message of a logger. */
  taken(taken: Taken): void
  text(): Promise<string>
  contentType: string
}

export interface MetricsOptions {
  now: () => number
  intake: () => IntakeState
  databaseBytes: () => number
  /** Jobs that wait or run. */
  jobs: () => number
  /** How the backups go; none are scheduled when left out. */
  backup?: () => { lastGoodAt: number | null; trouble: object | null }
}

const BROKER_STATES = ['listening', 'connected', 'connecting', 'waiting', 'off'] as const

export function createMetrics({ now, intake, databaseBytes, jobs, backup }: MetricsOptions): Metrics {
  const registry = new Registry()
  const registers = [registry]
  collectDefaultMetrics({ register: registry, prefix: 'underjoist_' })
  const messages = new Counter({
    name: 'underjoist_messages_total',
    help: 'Messages of loggers by what came of them',
    labelNames: ['outcome'],
    registers,
  })
  for (const outcome of OUTCOMES) messages.inc({ outcome }, 0)
  const readings = new Counter({ name: 'underjoist_readings_total', help: 'Readings stored from messages', registers })
  const toDisk = new Histogram({
    name: 'underjoist_message_to_disk_seconds',
    help: 'From the arrival of a message to its commit',
    buckets: [0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 10, 60],
    registers,
  })
  const readingToDisk = new Histogram({
    name: 'underjoist_reading_to_disk_seconds',
    help: 'From the latest reading of a message to its commit; long after an outage',
    buckets: [1, 5, 30, 120, 900, 3600, 21_600, 86_400, 604_800],
    registers,
  })
  const gauge = (name: string, help: string, value: () => number) =>
    new Gauge({
      name,
      help,
      registers,
      collect() {
        this.set(value())
      },
    })
  gauge(
    'underjoist_messages_waiting',
    'Messages that arrived and are not on the disk yet',
    () => intake().waitingMessages,
  )
  gauge('underjoist_intake_paused', '1 while readings are not stored', () => Number(intake().paused !== null))
  gauge('underjoist_broker_connections', 'Loggers connected to our own broker', () => intake().broker.connections)
  gauge('underjoist_database_bytes', 'Size of the database with its journal', databaseBytes)
  gauge('underjoist_jobs', 'Jobs that wait or run', jobs)
  if (backup !== undefined) {
    gauge('underjoist_backup_age_seconds', 'Since the last good backup; infinite when there is none', () => {
      const { lastGoodAt } = backup()
      return lastGoodAt === null ? Number.POSITIVE_INFINITY : (now() - lastGoodAt) / 1000
    })
    gauge('underjoist_backup_failed', '1 when the last try to make a backup failed', () =>
      Number(backup().trouble !== null),
    )
  }
  new Gauge({
    name: 'underjoist_broker_state',
    help: '1 for the state that the broker is in',
    labelNames: ['kind', 'state'],
    registers,
    collect() {
      this.reset()
      const { kind, state } = intake().broker
      for (const one of BROKER_STATES) this.set({ kind, state: one }, Number(one === state))
    },
  })
  return {
    taken({ outcome, delivered, arrivedAt, newestAt }) {
      messages.inc({ outcome })
      readings.inc(delivered.stored)
      toDisk.observe((now() - arrivedAt) / 1000)
      if (newestAt !== null) readingToDisk.observe(Math.max(0, now() - newestAt) / 1000)
    },
    text: () => registry.metrics(),
    contentType: registry.contentType,
  }
}

export const metricsRoutes =
  ({ metrics }: { metrics: Pick<Metrics, 'text' | 'contentType'> }): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get(
      '/metrics',
      { config: { access: CONTRACTOR }, schema: { response: { 200: Type.String() } } },
      async (_, reply) => reply.header('content-type', metrics.contentType).send(await metrics.text()),
    )
  }
