/** Where loggers send to, from the settings: our own broker on this machine, unless something else is said. */
import { readFileSync } from 'node:fs'
import type { BrokerChoice } from '../ingest/mqtt/liveIntake.ts'

export const DEFAULT_MQTT_PORT = 1883
const HIGHEST_PORT = 65_535

/** A setting cannot be meant; the message says which and what it takes. */
export class SettingRefused extends Error {
  override name = 'SettingRefused'
}

/**
 * MQTT_URL names a broker that others run (with MQTT_USER, MQTT_PASSWORD, MQTT_CA); without it our own listens at
 * MQTT_HOST (127.0.0.1) and MQTT_PORT (1883), and MQTT_PORT=off leaves live readings away.
 *
 * @throws SettingRefused
 */
export function brokerFrom(env: Record<string, string | undefined>): BrokerChoice | undefined {
  if (env.MQTT_URL !== undefined && env.MQTT_URL !== '') return outside(env.MQTT_URL, env)
  const port = env.MQTT_PORT ?? String(DEFAULT_MQTT_PORT)
  if (port === 'off') return undefined
  const number = Number(port)
  if (!Number.isInteger(number) || number < 0 || number > HIGHEST_PORT) {
    throw new SettingRefused(
      `MQTT_PORT is "${port}", expected a whole number from 0 to ${HIGHEST_PORT}, such as ${DEFAULT_MQTT_PORT}, or off.`,
    )
  }
  return { kind: 'own', host: env.MQTT_HOST || '127.0.0.1', port: number }
}

function outside(text: string, env: Record<string, string | undefined>): BrokerChoice {
  let url: URL
  try {
    url = new URL(text)
  } catch {
    throw new SettingRefused(`MQTT_URL is not an address. Give one such as mqtts://broker.example:8883.`)
  }
  if (!['mqtt:', 'mqtts:', 'ws:', 'wss:'].includes(url.protocol)) {
    throw new SettingRefused(`MQTT_URL begins with ${url.protocol}//, expected mqtt:// or mqtts://.`)
  }
  const user = env.MQTT_USER ?? decodeURIComponent(url.username)
  const password = env.MQTT_PASSWORD ?? decodeURIComponent(url.password)
  // The address is shown and logged: never with what stands in it for nobody else.
  url.username = ''
  url.password = ''
  return {
    kind: 'outside',
    url: url.href.replace(/\/$/, ''),
    ...(user !== '' && { user }),
    ...(password !== '' && { password }),
    ...(env.MQTT_CA !== undefined && { ca: certificate(env.MQTT_CA) }),
  }
}

function certificate(path: string): string {
  try {
    return readFileSync(path, 'utf8')
  } catch (error) {
    throw new SettingRefused(`MQTT_CA names ${path}, which cannot be read (${(error as Error).message}).`)
  }
}
