/** Live readings as a whole: one receiver, and one broker before it, our own or somebody else's. */
import { randomBytes } from 'node:crypto'
import { latestReceipts } from '../../store/arrivals.ts'
import { checkSecret } from '../../store/loggerSecrets.ts'
import { forgetConnections, noteConnected } from '../../store/loggerStates.ts'
import type { Database } from '../../store/open.ts'
import { keptServiceFact } from '../../store/serviceFacts.ts'
import { type EmbeddedBroker, startEmbeddedBroker } from './embeddedBroker.ts'
import { type ExternalBroker, type ExternalBrokerOptions, startExternalBroker } from './externalBroker.ts'
import { createReceiver, type Taken } from './receiver.ts'

export type BrokerChoice =
  | { kind: 'own'; host: string; port: number }
  | ({ kind: 'outside' } & Pick<ExternalBrokerOptions, 'url' | 'user' | 'password' | 'ca'>)

export interface LiveIntakeOptions {
  now: () => number
  onTaken(taken: Taken): void
  /** A logger came or went, as our own broker sees it; the mark is on the disk. */
  onConnection(loggerKey: string): void
  /** The state of the broker or of the intake is another one than before. */
  onChange(): void
  /** For the log: what is wrong, or that it is right again. */
  onTrouble(sentence: string): void
}

export interface BrokerState {
  kind: 'own' | 'outside' | 'none'
  /** Where loggers connect, or the outside broker's address; empty when there is none. */
  address: string
  state: 'listening' | 'connected' | 'connecting' | 'waiting' | 'off'
  since: number
  problem: string | null
  nextTryAt: number | null
  connections: number
}

export interface IntakeState {
  broker: BrokerState
  paused: string | null
  waitingMessages: number
}

export interface LiveIntake {
  state(): IntakeState
  /** Puts a logger out whose credentials no longer hold; does nothing behind an outside broker. */
  disconnect(loggerKey: string): void
  /** Nothing more is taken; what is on its way to the disk is finished. */
  stop(): Promise<void>
}

export const NO_BROKER: BrokerState = {
  kind: 'none',
  address: '',
  state: 'off',
  since: 0,
  problem: null,
  nextTryAt: null,
  connections: 0,
}

/** @throws BrokerRefused when our own broker cannot listen there */
export async function startLiveIntake(
  db: Database,
  choice: BrokerChoice,
  { now, onTaken, onConnection, onChange, onTrouble }: LiveIntakeOptions,
): Promise<LiveIntake> {
  const startedAt = now()
  await forgetConnections(db)
  const receiver = createReceiver(db, {
    now,
    onTaken,
    onPause(reason) {
      onTrouble(reason === null ? 'Readings are stored again.' : `Readings are not stored for now: ${reason}`)
      onChange()
    },
  })

  let own: EmbeddedBroker | undefined
  let outside: ExternalBroker | undefined
  if (choice.kind === 'own') {
    own = await startEmbeddedBroker({
      ...choice,
      receiver,
      checkSecret: (key, secret) => checkSecret(db, key, secret),
      receipts: await latestReceipts(db),
      onConnection(logger, connected) {
        // A disk that is full must not take the service down for a mark that the next message sets right.
        noteConnected(db, logger, connected, now()).then(
          () => onConnection(logger),
          () => {},
        )
        onChange()
      },
      onTrouble,
    })
  } else {
    let said: string | null = null
    outside = startExternalBroker({
      ...choice,
      clientId: await keptServiceFact(db, 'mqtt client id', () => `underjoist-${randomBytes(6).toString('hex')}`),
      receiver,
      receipts: () => latestReceipts(db),
      now,
      onChange({ problem, state }) {
        if (problem !== said && problem !== null) onTrouble(problem)
        if (state === 'connected' && said !== null) onTrouble('The broker is connected again.')
        if (problem !== null || state === 'connected') said = problem
        onChange()
      },
    })
  }

  function brokerState(): BrokerState {
    if (own !== undefined) {
      const address = `mqtt://${own.host}:${own.port}`
      const rest = { problem: null, nextTryAt: null, connections: own.connections() }
      return { kind: 'own', address, state: 'listening', since: startedAt, ...rest }
    }
    const { version: _, ...state } = outside!.state()
    return { kind: 'outside', address: (choice as { url: string }).url, ...state, connections: 0 }
  }

  return {
    state: () => ({ broker: brokerState(), paused: receiver.paused(), waitingMessages: receiver.waiting() }),
    disconnect: (loggerKey) => own?.disconnect(loggerKey),
    async stop() {
      receiver.stop()
      await own?.stop()
      await outside?.stop()
    },
  }
}
