/** All settings of the service together, as it wants them; whatever is wrong is told at once. */
import { dirname, join, resolve } from 'node:path'
import type { BrokerChoice } from '../ingest/mqtt/liveIntake.ts'
import { isLoopback } from '../ingest/thisMachine.ts'
import type { BackupSettings } from './backups.ts'
import { ENVIRONMENT, type SettingName, type Value } from './environment.ts'
import { type Environment, readSetting, SettingRefused } from './readSetting.ts'
import { strayWarnings } from './straySettings.ts'

export interface LetterSettings {
  /** The mail server, with what signs us in there; letters are files without it. */
  smtpUrl: string | undefined
  from: string
  folder: string
}

export interface Settings {
  databasePath: string
  host: string
  port: number
  /** Undefined for this machine at a free port, which is known only when it listens. */
  publicUrl: string | undefined
  trustProxy: string | undefined
  /** Where loggers send to; nowhere when undefined. */
  broker: BrokerChoice | undefined
  backup: BackupSettings | undefined
  letters: LetterSettings
  /** What looks like a mistake and keeps nothing from starting, in sentences. */
  warnings: string[]
}

type Values = { [N in SettingName]: Value<N> }

/** @throws SettingRefused with a sentence for each setting that cannot be meant */
export function readSettings(env: Environment): Settings {
  const values = readAll(env)
  const publicUrl = addressOf(values)
  return {
    databasePath: values.UNDERJOIST_DB,
    host: values.HOST,
    port: values.PORT,
    publicUrl,
    trustProxy: env.TRUST_PROXY ? values.TRUST_PROXY : publicUrl?.startsWith('https:') ? 'loopback' : undefined,
    broker: brokerOf(values),
    backup:
      values.BACKUP_FOLDER === undefined
        ? undefined
        : { folder: resolve(values.BACKUP_FOLDER), everyH: values.BACKUP_EVERY_H, keep: values.BACKUP_KEEP },
    letters: {
      smtpUrl: values.SMTP_URL,
      from: values.LETTERS_FROM ?? `underjoist@${mailName(publicUrl)}`,
      folder: resolve(values.LETTERS_FOLDER ?? join(dirname(values.UNDERJOIST_DB), 'letters')),
    },
    warnings: strayWarnings(env),
  }
}

function readAll(env: Environment): Values {
  const problems: string[] = []
  const entries = (Object.keys(ENVIRONMENT) as SettingName[]).map((name) => {
    try {
      return [name, readSetting(env, name)]
    } catch (error) {
      problems.push((error as SettingRefused).message)
      return [name, undefined]
    }
  })
  // A made-up sender would be refused by the servers of those who should read the letters.
  if (env.SMTP_URL && !env.LETTERS_FROM) {
    problems.push(`SMTP_URL is given without LETTERS_FROM. Set it to ${ENVIRONMENT.LETTERS_FROM.kind.example}.`)
  }
  if (problems.length > 0) throw new SettingRefused(problems.join('\n'))
  return Object.fromEntries(entries) as Values
}

/**
 * The address that people open.
 * @throws SettingRefused
 */
export const publicUrlFrom = (env: Environment): string | undefined =>
  addressOf({
    PUBLIC_URL: readSetting(env, 'PUBLIC_URL'),
    HOST: readSetting(env, 'HOST'),
    PORT: readSetting(env, 'PORT'),
  })

function addressOf({ PUBLIC_URL, HOST, PORT }: Pick<Values, 'PUBLIC_URL' | 'HOST' | 'PORT'>): string | undefined {
  if (PUBLIC_URL !== undefined || PORT === 0) return PUBLIC_URL
  const name = isLoopback(HOST) ? (HOST.includes(':') ? `[${HOST}]` : HOST) : '127.0.0.1'
  return `http://${name}:${PORT}`
}

/** Mail knows no numbers as names. */
function mailName(publicUrl: string | undefined): string {
  const name = publicUrl === undefined ? '' : new URL(publicUrl).hostname
  return /^[a-z]/i.test(name) ? name : 'localhost'
}

function brokerOf({ MQTT_URL, MQTT_USER, MQTT_PASSWORD, MQTT_CA, MQTT_HOST, MQTT_PORT }: Values) {
  if (MQTT_URL === undefined) {
    return MQTT_PORT === 'off' ? undefined : ({ kind: 'own', host: MQTT_HOST, port: MQTT_PORT } as const)
  }
  const user = MQTT_USER ?? decodeURIComponent(MQTT_URL.username)
  const password = MQTT_PASSWORD ?? decodeURIComponent(MQTT_URL.password)
  // The address is shown and logged: never with what stands in it for nobody else.
  const shown = new URL(MQTT_URL)
  shown.username = ''
  shown.password = ''
  return {
    kind: 'outside',
    url: shown.href.replace(/\/$/, ''),
    ...(user !== '' && { user }),
    ...(password !== '' && { password }),
    ...(MQTT_CA !== undefined && { ca: MQTT_CA }),
  } as const
}
