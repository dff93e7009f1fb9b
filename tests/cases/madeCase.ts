/** A small case folder with invented readings, for tests of the runner. */
import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import { DAY, HOUR, normal, seeded } from '../support/series.ts'

/** Midnight in New York, in summer time throughout. */
export const MADE_START = Date.UTC(2024, 4, 1, 4)
export const MADE_DAYS = 36

export interface MadeCase {
  events: unknown
  house?: Record<string, unknown>
  /** Rows of a logger that are left out. */
  silent?: (logger: string, at: number) => boolean
}

export const MADE_LOGGERS = ['low corner', 'Vent #2', 'joist']

export function writeMadeCase(folder: string, { events, house = {}, silent = () => false }: MadeCase): void {
  mkdirSync(folder, { recursive: true })
  const noise = normal(seeded(5))
  let front = 0
  const weather = Array.from({ length: MADE_DAYS * 24 }, (_, h) => {
    front = 0.98 * front + 0.5 * noise()
    return 18 + 5 * Math.sin((2 * Math.PI * (h - 9)) / 24) + front
  })
  const rows = (logger: string, tempOf: (h: number) => number, rhOf: (h: number) => number) =>
    weather.flatMap((_, h) => {
      const at = MADE_START + h * HOUR
      if (silent(logger, at)) return []
      return [`${usTime(at)},${(tempOf(h) * 1.8 + 32).toFixed(1)},${rhOf(h).toFixed(1)}`]
    })
  const table = (lines: string[]) => ['Date/Time,Temperature (°F),RH (%)', ...lines, ''].join('\n')
  const outdoorRh = (h: number) => Math.min(98, Math.max(30, 72 - 3 * (weather[h]! - 18)))
  for (const [i, logger] of MADE_LOGGERS.entries()) {
    const damped = (h: number) => 17 + 0.3 * i + 0.3 * (weather[h]! - 18) + 0.1 * noise()
    const lines = rows(logger, damped, (h) => Math.min(97, 78 - 2 * i + 0.2 * (outdoorRh(h) - 70) + noise()))
    writeFileSync(join(folder, `logger-${i}.csv.gz`), gzipSync(table(lines)))
  }
  writeFileSync(join(folder, 'outdoor.csv'), table(rows('outdoor', (h) => weather[h]!, outdoorRh)))
  const rain = Array.from(
    { length: MADE_DAYS },
    (_, d) => `${usTime(MADE_START + d * DAY).slice(0, 10)},${d % 6 === 2 ? 0.9 : 0}`,
  )
  writeFileSync(join(folder, 'rain.csv'), ['Date,Rain (in)', ...rain, ''].join('\n'))
  const entered = {
    timeZone: 'America/New_York',
    crawlSpace: { floorArea_ft2: 1400, height_ft: 3 },
    vents: { count: 8, openAtStart: 'yes' },
    downspoutsAtStart: 'led away',
    targetRH_pct: 55,
    loggers: MADE_LOGGERS.map((id, i) => ({ id, file: `logger-${i}.csv.gz` })),
    outdoor: 'outdoor.csv',
    rain: 'rain.csv',
    ...house,
  }
  writeFileSync(join(folder, 'house.json'), JSON.stringify(entered))
  writeFileSync(join(folder, 'events.json'), JSON.stringify(events))
}

/** 05/01/2024 12:00 AM */
function usTime(at: number): string {
  const local = new Date(at - 4 * HOUR)
  const two = (value: number) => String(value).padStart(2, '0')
  const hour = local.getUTCHours()
  return `${two(local.getUTCMonth() + 1)}/${two(local.getUTCDate())}/${local.getUTCFullYear()} ${two(hour % 12 || 12)}:00 ${hour < 12 ? 'AM' : 'PM'}`
}
