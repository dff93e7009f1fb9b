/** What looks wrong, told before anything is stored. Each threshold is a proposal of common practice, no source. */
import { type Run, repeatedOnce } from './dryRun.ts'
import { quantityInWords } from './roles.ts'
import { count, stamp, unitOf } from './sentences.ts'
import type { ProbeTally } from './tally.ts'
import type { LookContext, Understanding, Warning } from './understanding.ts'

const DAY_MS = 86_400_000
const YEAR_MS = 365.25 * DAY_MS
/** No space under a house and no shaded outdoor air gets there. */
const CLIMATE_C = { min: -45, max: 55 }
/** More a year than falls at all but a few places on earth. */
const MOST_RAIN_MM_A_YEAR = 4000
const MOST_RAIN_MM_A_DAY = 500
const STUCK_MS = 2 * DAY_MS
const STUCK_ROWS = 48
/** Many sensors end a little below 100. */
const RH_SATURATED_PCT = 98.5
/** Probes of one file that differ by more are rarely in one air. */
const RH_APART_PCT = 8
const SAME_AIR_K = 1

export function warningsOf(u: Understanding, run: Run, context: LookContext): Warning[] {
  const warnings: Warning[] = []
  for (const probe of run.probes) warnings.push(...ofProbe(probe, u), ...ofValues(probe, u))
  warnings.push(...ofCells(u, run), ...ofClock(u, run, context), ...probesApart(run.probes))
  if (u.lastAt > context.now + DAY_MS && !u.typicalYear) {
    warnings.push({
      code: 'future',
      message: `The last row is at ${stamp(u.lastAt)}, which is still to come. Check the clock of the logger and the date order.`,
    })
  }
  if (run.reader.summary.refused > 0) {
    const { refused } = run.reader.summary
    warnings.push({
      code: 'refused',
      count: refused,
      message: `${count(refused, 'entry').replace('entrys', 'entries')} will be refused; the first: line ${run.refused[0]?.line}, ${run.refused[0]?.reason}`,
    })
  }
  return warnings
}

function ofProbe(probe: ProbeTally, u: Understanding): Warning[] {
  const warnings: Warning[] = []
  const name = u.probes.length > 1 ? `Probe "${probe.probeKey}"` : 'The file'
  if (probe.differing > 0) {
    warnings.push({
      code: 'duplicates',
      probeKey: probe.probeKey,
      count: probe.differing,
      message: `${name} has ${count(probe.differing, 'row')} with the time of the row before but other values. The first is kept; if a column names several probes, say which.`,
    })
  }
  const against = Math.min(probe.forward, probe.backward)
  if (against > 0) {
    warnings.push({
      code: 'clockJump',
      probeKey: probe.probeKey,
      count: against,
      message: `${name} goes back in time ${count(against, 'time')}: the clock was set, or parts were joined out of order.`,
    })
  }
  return warnings
}

function ofValues(probe: ProbeTally, u: Understanding): Warning[] {
  const warnings: Warning[] = []
  const { probeKey } = probe
  for (const [quantity, of] of probe.quantities) {
    if (of.count === 0) continue
    const what = `${u.probes.length > 1 ? `Probe "${probeKey}": ` : ''}${quantityInWords(quantity)}`
    const isTemp = quantity === 'tempC' || quantity === 'surfaceTempC'
    if (isTemp && (of.max > CLIMATE_C.max || of.min < CLIMATE_C.min)) {
      warnings.push({
        code: 'outOfClimate',
        probeKey,
        message: `${what} runs from ${of.min.toFixed(1)} to ${of.max.toFixed(1)} °C, out of any climate. Check the unit and the sensor.`,
      })
    }
    if (quantity === 'rainMm') {
      const years = (probe.lastAt - probe.firstAt) / YEAR_MS
      const yearly = of.sum / years
      if (years > 0.4 && yearly > MOST_RAIN_MM_A_YEAR) {
        warnings.push({
          code: 'rainTotal',
          probeKey,
          message: `${what} adds up to ${Math.round(yearly).toLocaleString('en-US')} mm a year, more than any climate this is likely to be from. The unit may be tenths of a millimeter: answer it for the column.`,
        })
      } else if (of.max > MOST_RAIN_MM_A_DAY / 2) {
        warnings.push({
          code: 'rainTotal',
          probeKey,
          message: `${what} reaches ${of.max.toFixed(0)} mm in one row. A running total is no rain of the span; check the column.`,
        })
      }
    }
    if (
      of.count >= 24 &&
      of.min === of.max &&
      quantity !== 'rainMm' &&
      quantity !== 'waterPresent' &&
      quantity !== 'batteryV'
    ) {
      warnings.push({
        code: 'allEqual',
        probeKey,
        message: `${what} is ${of.min} ${unitOf(quantity)} in all ${of.count.toLocaleString('en-US')} rows. Check the sensor.`,
      })
    } else if (quantity === 'tempC' || quantity === 'rhPct' || quantity === 'woodMcPct') {
      const { rows, ms, value } = of.longestRun
      const saturated = quantity === 'rhPct' && value >= RH_SATURATED_PCT
      if (!saturated && rows >= STUCK_ROWS && (ms >= STUCK_MS || rows > of.count * 0.4)) {
        warnings.push({
          code: 'stuck',
          probeKey,
          count: rows,
          message: `${what} stays at ${value.toFixed(2)} ${unitOf(quantity)} for ${count(rows, 'row')}. Check the sensor.`,
        })
      }
    }
  }
  return warnings
}

function ofCells(u: Understanding, { reader }: Run): Warning[] {
  return reader.cells.flatMap(({ column, counts }) => {
    const warnings: Warning[] = []
    const add = (code: Warning['code'], n: number, message: string) => {
      if (n > 0) warnings.push({ code, column: column.key, count: n, message })
    }
    add(
      'clamped',
      counts.clamped,
      `${column.key} is over 100 % (up to 105) in ${count(counts.clamped, 'row')}; it is stored as 100.`,
    )
    add('trace', counts.trace, `${column.key} says "trace" in ${count(counts.trace, 'row')}; that is stored as 0.`)
    add(
      'suspect',
      counts.suspect,
      `${column.key} is marked suspect in ${count(counts.suspect, 'row')}; the values are stored.`,
    )
    const values = u.probes.some((probe) => probe.quantities.length > 0)
    if (!values) add('noValues', 1, `${column.key} has no value.`)
    return warnings
  })
}

function ofClock(u: Understanding, run: Run, context: LookContext): Warning[] {
  const { repeatedFirst, repeatedSecond, missing } = run.reader.instants.clock.counts
  const warnings: Warning[] = []
  if (run.ignoredDst) {
    warnings.push({
      code: 'clockIgnoresDst',
      message: `Rows stand in the hour that daylight saving skips in ${context.timeZone}, so the clock of the logger did not follow it; times are read as ${u.time.zone} all through.`,
    })
  }
  if (missing > 0) {
    warnings.push({
      code: 'missingHour',
      count: missing,
      message: `${count(missing, 'row')} fall in the hour that daylight saving skips in ${u.time.zone} and are refused.`,
    })
  }
  if (repeatedSecond > 0) {
    warnings.push({
      code: 'repeatedHour',
      count: repeatedFirst + repeatedSecond,
      message: `Daylight saving ends within the file: ${count(repeatedFirst, 'row')} of the hour that comes twice are read as its first pass and ${repeatedSecond.toLocaleString('en-US')} as its second, by the order of the rows.`,
    })
  } else if (repeatedOnce(run, u)) {
    warnings.push({
      code: 'clockIgnoresDst',
      count: repeatedFirst,
      message: `The hour that comes twice in ${u.time.zone} stands in the file once. If the clock of the logger does not follow daylight saving, answer the time zone.`,
    })
  }
  return warnings
}

function probesApart(probes: readonly ProbeTally[]): Warning[] {
  const means = probes.flatMap((probe) => {
    const rh = probe.quantities.get('rhPct')
    const temp = probe.quantities.get('tempC')
    if (!rh || !temp || rh.count < 100 || temp.count < 100) return []
    return [{ key: probe.probeKey, mean: rh.sum / rh.count, tempC: temp.sum / temp.count }]
  })
  if (means.length < 3) return []
  const sorted = [...means].sort((a, b) => a.mean - b.mean)
  const { mean: middle, tempC: middleTempC } = sorted[Math.floor(sorted.length / 2)]!
  return means
    .filter(({ mean, tempC }) => Math.abs(mean - middle) > RH_APART_PCT && Math.abs(tempC - middleTempC) < SAME_AIR_K)
    .map(({ key, mean }) => ({
      code: 'probesDiffer',
      probeKey: key,
      message: `Probe "${key}" reads ${mean.toFixed(1)} % RH on average where the middle probe reads ${middle.toFixed(1)} %. If they were in one place, check its offset.`,
    }))
}
