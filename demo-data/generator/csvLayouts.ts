import type { ProbeReadings } from './sensor.ts'
import type { WallClock, WallTime } from './wallTime.ts'

/** Writes readings as the ordinary programs of ordinary loggers do: each in another layout. */
export type CsvLayout = (readings: ProbeReadings, clock: WallClock, woodMcPct?: Float64Array) => string

const two = (n: number) => String(n).padStart(2, '0')
const twelve = ({ hour, minute, second }: WallTime) =>
  `${two(hour % 12 === 0 ? 12 : hour % 12)}:${two(minute)}:${two(second)} ${hour < 12 ? 'AM' : 'PM'}`
const toF = (tempC: number) => tempC * 1.8 + 32

/** US software: notes before the header, 12-hour wall time without zone, °F. The hour of the autumn change is there twice. */
export const usTwelveHourFahrenheit: CsvLayout = (readings, clock) => {
  const lines = [
    '"Title: Crawl space, low corner"',
    '"Exported rows, local time"',
    '"#","Date Time","Temp (°F)","RH (%)"',
  ]
  readings.at.forEach((at, i) => {
    const t = clock.wallTime(at)
    const date = `${two(t.month)}/${two(t.day)}/${t.year} ${twelve(t)}`
    lines.push(`${i + 1},"${date}",${toF(readings.tempC[i]!).toFixed(2)},${readings.rhPct[i]!.toFixed(1)}`)
  })
  return `${lines.join('\r\n')}\r\n`
}

/** ISO 8601 with the offset of the moment, °C. */
export const isoWithOffset: CsvLayout = (readings, clock) => {
  const lines = ['time,temp_c,rh_pct']
  readings.at.forEach((at, i) => {
    const t = clock.wallTime(at)
    const sign = t.offsetMinutes < 0 ? '-' : '+'
    const offset = Math.abs(t.offsetMinutes)
    const zone = `${sign}${two(Math.floor(offset / 60))}:${two(offset % 60)}`
    const stamp = `${t.year}-${two(t.month)}-${two(t.day)}T${two(t.hour)}:${two(t.minute)}:${two(t.second)}${zone}`
    lines.push(`${stamp},${readings.tempC[i]!.toFixed(1)},${readings.rhPct[i]!.toFixed(1)}`)
  })
  return `${lines.join('\n')}\n`
}

/** Byte order mark, semicolons, decimal commas, day first, and the wood pins of the same box. */
export const semicolonDecimalComma: CsvLayout = (readings, clock, woodMcPct) => {
  const comma = (value: number) => value.toFixed(1).replace('.', ',')
  const lines = ['\uFEFFDate/Time;Temperature [°C];Relative humidity [%];Wood moisture [%]']
  readings.at.forEach((at, i) => {
    const t = clock.wallTime(at)
    const stamp = `${two(t.day)}.${two(t.month)}.${t.year} ${two(t.hour)}:${two(t.minute)}`
    const wood = woodMcPct === undefined ? '' : comma(woodMcPct[i]!)
    lines.push(`${stamp};${comma(readings.tempC[i]!)};${comma(readings.rhPct[i]!)};${wood}`)
  })
  return `${lines.join('\r\n')}\r\n`
}

/** UTC with Z, and the battery. */
export const utcWithBattery: CsvLayout = (readings) => {
  const lines = ['timestamp_utc,temperature_c,humidity_pct,battery_v']
  readings.at.forEach((at, i) => {
    const stamp = new Date(at).toISOString().replace('.000Z', 'Z')
    const values = [readings.tempC[i]!.toFixed(1), readings.rhPct[i]!.toFixed(1), readings.batteryV[i]!.toFixed(2)]
    lines.push(`${stamp},${values.join(',')}`)
  })
  return `${lines.join('\n')}\n`
}

/** Date and time in two columns, 24-hour wall time, °F, all quoted. */
export const quotedDateAndTime: CsvLayout = (readings, clock) => {
  const lines = ['"Date","Time","Temperature_F","Humidity_%"']
  readings.at.forEach((at, i) => {
    const t = clock.wallTime(at)
    const date = `${t.month}/${t.day}/${t.year}`
    lines.push(
      `"${date}","${two(t.hour)}:${two(t.minute)}","${toF(readings.tempC[i]!).toFixed(1)}","${readings.rhPct[i]!.toFixed(1)}"`,
    )
  })
  return `${lines.join('\n')}\n`
}

/** Tabs, year first, wall time. */
export const tabSeparated: CsvLayout = (readings, clock) => {
  const lines = ['Time\tT (°C)\tRH (%)']
  readings.at.forEach((at, i) => {
    const t = clock.wallTime(at)
    const stamp = `${t.year}/${two(t.month)}/${two(t.day)} ${two(t.hour)}:${two(t.minute)}`
    lines.push(`${stamp}\t${readings.tempC[i]!.toFixed(1)}\t${readings.rhPct[i]!.toFixed(1)}`)
  })
  return `${lines.join('\n')}\n`
}

/** Rain of a tipping bucket by the hour, stamped at the end of the hour in 12-hour wall time, inches in whole tips. */
export function rainInches(hourMm: Float64Array, firstHourMs: number, clock: WallClock): string {
  const TIP_MM = 0.254
  const lines = ['Time (hour ending),Rain (in)']
  let inBucketMm = 0
  hourMm.forEach((mm, i) => {
    inBucketMm += mm
    const tips = Math.floor(inBucketMm / TIP_MM + 1e-9)
    inBucketMm -= tips * TIP_MM
    const t = clock.wallTime(firstHourMs + (i + 1) * 3_600_000)
    const stamp = `${two(t.month)}/${two(t.day)}/${t.year} ${twelve(t).replace(/:\d\d /, ' ')}`
    lines.push(`${stamp},${(tips / 100).toFixed(2)}`)
  })
  return `${lines.join('\n')}\n`
}
