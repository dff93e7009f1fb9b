/** The service's door: `npm start`. Its settings are environment variables. */
import { backupsFrom } from './cli/backupSettings.ts'
import { brokerFrom } from './cli/brokerSettings.ts'
import { DEFAULT_PORT } from './cli/commands/serve.ts'
import { startService } from './cli/runService.ts'

const settings = {
  databasePath: process.env.UNDERJOIST_DB ?? 'data/underjoist.db',
  host: process.env.HOST ?? '127.0.0.1',
  port: Number(process.env.PORT ?? DEFAULT_PORT),
}
if (!Number.isInteger(settings.port) || settings.port < 0 || settings.port > 65_535) {
  console.error(`PORT is "${process.env.PORT}", expected a whole number from 0 to 65535, such as ${DEFAULT_PORT}.`)
  process.exit(2)
}

try {
  const broker = brokerFrom(process.env)
  const backup = backupsFrom(process.env)
  const service = await startService({
    ...settings,
    ...(broker && { broker }),
    ...(backup && { backup }),
    now: Date.now,
    log: true,
  })
  for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => void service.stop())
} catch (error) {
  console.error((error as Error).message)
  process.exit(1)
}
