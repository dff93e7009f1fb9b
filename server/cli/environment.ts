/** Every setting of the service, once: what it means, what holds without it, how it is read, and whether it is a secret. */
import {
  anyText,
  brokerAddress,
  fileText,
  host,
  hours,
  type Kind,
  mailServer,
  or,
  path,
  proxies,
  publicAddress,
  sender,
  whole,
} from './settingKinds.ts'

export interface Setting<T> {
  means: string
  kind: Kind<T>
  /** Holds when it is left out, read like what is given. */
  standard?: string
  /** What holds when it is left out, in words, where that is not one text. */
  otherwise?: string
  /** Never shown, not even in part. */
  secret?: true
  /** The setting without which this one says nothing. */
  goesWith?: string
}

export const DEFAULT_PORT = 8484
export const DEFAULT_KEEP = 7
const HIGHEST_PORT = 65_535
const MOST_HOURS_APART = 24 * 31

const setting = <T, const S extends Omit<Setting<T>, 'kind'>>(kind: Kind<T>, rest: S): S & { kind: Kind<T> } => ({
  ...rest,
  kind,
})

export const ENVIRONMENT = {
  UNDERJOIST_DB: setting(path('/var/lib/underjoist/underjoist.db'), {
    means: 'the database; photos and dropped files are kept beside it',
    standard: 'data/underjoist.db',
  }),
  PUBLIC_URL: setting(publicAddress, {
    means: 'the address that people open and that letters name: https, or http on this machine alone',
    otherwise: 'http://127.0.0.1 with `PORT`',
  }),
  PORT: setting(whole(0, HIGHEST_PORT, DEFAULT_PORT), {
    means: 'port of the pages and of the API; 0 takes a free one',
    standard: String(DEFAULT_PORT),
  }),
  HOST: setting(host, {
    means:
      'address they listen at; beyond this machine only with an account and an https `PUBLIC_URL`, for a proxy on another machine',
    standard: '127.0.0.1',
  }),
  TRUST_PROXY: setting(proxies, {
    means:
      'addresses or subnets of the TLS proxy whose X-Forwarded-For and X-Forwarded-Proto are believed, `loopback`, or `none`',
    otherwise: '`loopback` with an https `PUBLIC_URL`, else `none`',
  }),
  SMTP_URL: setting(mailServer, {
    means: 'the mail server that letters go out by, with user and password; smtps, or smtp with STARTTLS',
    otherwise: 'letters are files in `LETTERS_FOLDER`',
    secret: true,
  }),
  LETTERS_FROM: setting(sender, {
    means: 'whom letters come from; must be given with `SMTP_URL`',
    otherwise: 'underjoist@ and the name of `PUBLIC_URL`',
  }),
  LETTERS_FOLDER: setting(path('/var/lib/underjoist/letters'), {
    means: 'where letters are put as .eml files when there is no `SMTP_URL`',
    otherwise: '`letters` beside the database',
  }),
  MQTT_PORT: setting(or(whole(0, HIGHEST_PORT, 1883), 'off'), {
    means: 'port of our own broker, or `off` for no live readings',
    standard: '1883',
  }),
  MQTT_HOST: setting(host, {
    means:
      'address it listens at; beyond this machine only with an account, and in the clear: it has no TLS (see below)',
    standard: '127.0.0.1',
  }),
  MQTT_URL: setting(brokerAddress, {
    means: 'a broker that others run instead; its user must read `underjoist/#` and write `underjoist/+/receipt`',
    otherwise: 'our own',
    secret: true,
  }),
  MQTT_USER: setting(anyText('underjoist'), {
    means: 'how the service signs in there',
    otherwise: 'as in `MQTT_URL`',
    goesWith: 'MQTT_URL',
  }),
  MQTT_PASSWORD: setting(anyText('a long one'), {
    means: 'its password there',
    otherwise: 'as in `MQTT_URL`',
    secret: true,
    goesWith: 'MQTT_URL',
  }),
  MQTT_CA: setting(fileText('/etc/underjoist/broker-ca.pem'), {
    means: 'file of the certificate authority of that broker',
    otherwise: "this machine's",
    goesWith: 'MQTT_URL',
  }),
  BACKUP_FOLDER: setting(path('/mnt/backups'), {
    means: 'where the service puts backups by itself; the folder above it must be there',
    otherwise: 'no backups',
  }),
  BACKUP_EVERY_H: setting(hours(1, MOST_HOURS_APART, 24), {
    means: 'hours between two; one that was missed while the service was off is made at its start',
    standard: '24',
    goesWith: 'BACKUP_FOLDER',
  }),
  BACKUP_KEEP: setting(whole(1, Number.POSITIVE_INFINITY, DEFAULT_KEEP), {
    means: 'the newest so many stay, and beside them the newest of each of the last 7 days and of the last 4 weeks',
    standard: String(DEFAULT_KEEP),
    goesWith: 'BACKUP_FOLDER',
  }),
  UNDERJOIST_TOKEN: setting(anyText('a token made on the page of your account'), {
    means: 'API token for commands that ask a running service (`simulate`)',
    otherwise: 'none',
    secret: true,
  }),
} as const

export type SettingName = keyof typeof ENVIRONMENT

type ValueOf<S> = S extends { kind: Kind<infer T> } ? (S extends { standard: string } ? T : T | undefined) : never
export type Value<N extends SettingName> = ValueOf<(typeof ENVIRONMENT)[N]>

/** For README.md. */
export function environmentDocument(): string {
  const rows = Object.entries<Setting<unknown>>(ENVIRONMENT).map(
    ([name, { means, standard, otherwise, secret }]) =>
      `| \`${name}\` | ${means}${secret ? ' (secret)' : ''} | ${standard === undefined ? otherwise : `\`${standard}\``} |`,
  )
  return ['| variable | meaning | left out |', '|---|---|---|', ...rows].join('\n')
}
