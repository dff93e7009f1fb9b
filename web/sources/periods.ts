/** The periods of a balance, each with its two bases. Pure. */
import type { BalanceContract } from '../../server/http/contract/balance.ts'

export type Sources = Extract<BalanceContract, { outcome: 'told' }>['sources'][number]
export type Path = Sources['paths'][number]

export const PATH_NAMES: Record<Path['path'], string> = {
  outdoorAir: 'outdoor air',
  ground: 'ground',
  rain: 'rain-wet ground',
  leak: 'steady leak',
  house: 'house air',
}

export interface Period {
  from: number
  to: number
  bases: Sources[]
}

/** In order of date; "as it is" first. */
export function periodsOf(sources: readonly Sources[]): Period[] {
  const periods: Period[] = []
  for (const one of sources) {
    const known = periods.find(({ from }) => from === one.from)
    if (known) known.bases.push(one)
    else periods.push({ from: one.from, to: one.to, bases: [one] })
  }
  for (const { bases } of periods) bases.sort((a, b) => Number(b.basis === 'as it is') - Number(a.basis === 'as it is'))
  return periods.sort((a, b) => a.from - b.from)
}

/** The latest period that ranks any path, else the latest. */
export function lastToldPeriod(periods: readonly Period[]): number {
  const told = periods.findLastIndex(({ bases }) => bases.some(({ paths }) => paths.some(({ rank }) => rank !== null)))
  return told < 0 ? periods.length - 1 : told
}

/** The period that holds an instant, else the nearest end. */
export function periodAt(periods: readonly Period[], at: number): Period | undefined {
  return (
    periods.find(({ from, to }) => at >= from && at < to) ??
    (at < (periods[0]?.from ?? 0) ? periods[0] : periods.at(-1))
  )
}

export interface Besides {
  name: string
  enters: Sources['woodGivesLPerDay'] | null
  leaves: Sources['woodGivesLPerDay']
}

/** Water that comes or goes without being a source: the framing, a machine, cold surfaces; only what there is. */
export const besides = (sources: Sources): Besides[] =>
  [
    { name: 'the wood', enters: sources.woodGivesLPerDay, leaves: sources.woodTakesLPerDay },
    { name: 'dehumidifier', enters: null, leaves: sources.machineLPerDay },
    { name: 'condensing', enters: null, leaves: sources.condensesLPerDay },
  ].filter(({ enters, leaves }) => Math.max(enters?.high ?? 0, leaves.high) > 0.01)
