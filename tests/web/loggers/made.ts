/** Loggers as the service tells them, made for tests. */
import type { Logger } from '../../../server/http/contract/loggers.ts'

type Probe = Logger['probes'][number]

export const probe = (
  last: Partial<NonNullable<Probe['last']>>,
  { probe: key = 'air', at = 1000 }: { probe?: string; at?: number } = {},
): Probe => ({
  probe: key,
  placed: null,
  last: { at, tempC: null, rhPct: null, dewPointC: null, woodMcPct: null, waterPresent: null, ...last },
})

export const logger = (some: Partial<Logger>): Logger => ({
  key: 'lg-1',
  name: null,
  code: null,
  hasRadio: true,
  intervalS: 900,
  standing: 'heard',
  house: null,
  probes: [],
  hasSecret: true,
  enrolledAt: 0,
  retiredAt: null,
  heardAt: 0,
  connected: true,
  batteryV: null,
  signalDbm: null,
  firmware: null,
  clockOffS: null,
  messages: 0,
  refused: 0,
  missed: 0,
  missing: 0,
  ...some,
})

export const house = (key: string, name: string): NonNullable<Logger['house']> => ({
  key,
  name,
  timeZone: 'America/New_York',
})
