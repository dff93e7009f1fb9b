import { once } from 'node:events'
import { backupsFrom } from '../backupSettings.ts'
import { brokerFrom } from '../brokerSettings.ts'
import { type Command, EXIT, UsageError } from '../command.ts'
import { startService } from '../runService.ts'

export const DEFAULT_PORT = 8484
const HIGHEST_PORT = 65_535

export const serve: Command = {
  name: 'serve',
  usage: '[--port N] [--host ADDRESS]',
  about:
    'Serves the database over HTTP and takes live readings over MQTT, on this machine only, until Ctrl+C. MQTT_URL, MQTT_HOST and MQTT_PORT say where loggers send to, BACKUP_FOLDER where backups go.',
  examples: ['serve', 'serve --port 9000 --db demo.db'],
  options: {
    port: { type: 'string', value: 'N', about: `port to listen on (${DEFAULT_PORT}); 0 takes a free one` },
    host: { type: 'string', value: 'ADDRESS', about: 'a loopback address (127.0.0.1)' },
  },
  async run(args, context) {
    const port = Number(args.option('port') ?? DEFAULT_PORT)
    if (!Number.isInteger(port) || port < 0 || port > HIGHEST_PORT) {
      throw new UsageError(`--port takes a whole number from 0 to ${HIGHEST_PORT}, not "${args.option('port')}".`)
    }
    const broker = brokerFrom(process.env)
    const backup = backupsFrom(process.env)
    const service = await startService({
      ...(broker && { broker }),
      ...(backup && { backup }),
      databasePath: context.databasePath,
      host: args.option('host') ?? '127.0.0.1',
      port,
      now: context.now,
      log: false,
    })
    const loggers = service.intake().broker.address
    context.out(
      context.json
        ? `${JSON.stringify({ address: service.address, loggers })}\n`
        : `Serving at ${service.address}\n${loggers === '' ? '' : `Loggers send to ${loggers}\n`}`,
    )
    if (!context.signal.aborted) await once(context.signal, 'abort')
    await service.stop()
    return EXIT.done
  },
}
