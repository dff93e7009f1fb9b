import { once } from 'node:events'
import { type Command, EXIT } from '../command.ts'
import { DEFAULT_PORT } from '../environment.ts'
import { readText } from '../readSetting.ts'
import { startService } from '../runService.ts'
import { readSettings } from '../settings.ts'

export const serve: Command = {
  name: 'serve',
  usage: '[--port N] [--host ADDRESS]',
  about:
    'Serves the database over HTTP and takes live readings over MQTT until Ctrl+C. Everything else is set by environment variables, as for the service itself (README.md).',
  examples: ['serve', 'serve --port 9000 --db demo.db'],
  options: {
    port: { type: 'string', value: 'N', about: `port to listen on (PORT, else ${DEFAULT_PORT}); 0 takes a free one` },
    host: { type: 'string', value: 'ADDRESS', about: 'address to listen at (HOST, else 127.0.0.1)' },
  },
  async run(args, context) {
    const [port, host] = [args.option('port'), args.option('host')]
    if (port !== undefined) readText('PORT', port, '--port')
    if (host !== undefined) readText('HOST', host, '--host')
    const { warnings, ...settings } = readSettings({
      ...process.env,
      UNDERJOIST_DB: context.databasePath,
      ...(port !== undefined && { PORT: port }),
      ...(host !== undefined && { HOST: host }),
    })
    for (const sentence of warnings) context.err(`${sentence}\n`)
    const service = await startService({ door: 'sign-in', ...settings, now: context.now, log: false })
    const loggers = service.intake().broker.address
    context.out(
      context.json
        ? `${JSON.stringify({ address: service.address, loggers })}\n`
        : `Serving at ${service.address}\n${loggers === '' ? '' : `Loggers send to ${loggers}\n`}`,
    )
    if (service.firstRun !== null) context.err(`${service.firstRun}\n`)
    if (!context.signal.aborted) await once(context.signal, 'abort')
    await service.stop()
    return EXIT.done
  },
}
