/** The service's door: `npm start`. Its settings are environment variables. */
import { startService } from './cli/runService.ts'
import { readSettings } from './cli/settings.ts'

try {
  const { warnings, ...settings } = readSettings(process.env)
  for (const sentence of warnings) console.error(sentence)
  const service = await startService({ door: 'sign-in', ...settings, now: Date.now, log: true })
  if (service.firstRun !== null) console.error(service.firstRun)
  for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => void service.stop())
} catch (error) {
  console.error((error as Error).message)
  // No restart mends a setting.
  process.exit(['SettingRefused', 'AddressRefused'].includes((error as Error).name) ? 2 : 1)
}
