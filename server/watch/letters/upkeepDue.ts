/** Which upkeep is due: of drains by the leaves and the first big rain, of a dehumidifier by the months since it came. */
import { localDateText } from '../../series/localTime.ts'
import type { WorkKind } from '../../store/schema.ts'
import type { DueTask, RegularHouse, RegularLetter, RegularLimits } from './regularHouse.ts'
import { morningOf, turnsAround } from './turns.ts'

const DAY_MS = 24 * 3_600_000
/** Later than this after its day it is not told of any more. */
const LATE_MS = 14 * DAY_MS
const RAIN_LATE_MS = 7 * DAY_MS
/** The first big rain after a drain work counts so long after it. */
const FIRST_RAIN_MS = 365 * DAY_MS
const DRAINS: readonly WorkKind[] = ['downspout drain', 'yard drain', 'footing drain']

/** @param lookDay the morning on which one can look after a rain */
export function dueUpkeep(
  house: RegularHouse,
  held: RegularLimits,
  now: number,
  lookDay: (rainAt: number) => number,
): { letters: RegularLetter[]; afterRains: number[] } {
  const drains = standing(house, DRAINS)
  const tasks = [...beforeLeaves(house, drains, now), ...ofMachines(house, held, now)].filter(
    ({ dueAt }) => now >= dueAt - held.upkeepNoticeDays * DAY_MS && now < dueAt + LATE_MS,
  )
  const days = [...new Set(tasks.map(({ dueAt }) => localDateText(dueAt, house.timeZone)))]
  const letters = days.map((day): RegularLetter => {
    const due = tasks.filter(({ dueAt }) => localDateText(dueAt, house.timeZone) === day)
    const once = [...new Map(due.map((task) => [task.task, task])).values()]
    return { key: `upkeep ${day} ${once.map(({ task }) => task).join(' + ')}`, kind: 'upkeep', tasks: once }
  })
  const { afterRains, rainLetters } = afterFirstRain(house, drains, now, lookDay)
  return { letters: [...letters, ...rainLetters], afterRains }
}

const standing = (house: RegularHouse, kinds: readonly WorkKind[]): number[] =>
  house.works
    .filter((work) => work.to === null && work.kinds.some((kind) => kinds.includes(kind)))
    .map(({ from }) => from)

function beforeLeaves(house: RegularHouse, drains: readonly number[], now: number): DueTask[] {
  return turnsAround('leaf fall', now, house)
    .filter((dueAt) => drains.some((from) => from < dueAt))
    .map((dueAt) => ({ task: 'catch basins', dueAt, everyMonths: 12 }))
}

/** Several are looked after on one day, counted from when the last of them came. */
function ofMachines(house: RegularHouse, held: RegularLimits, now: number): DueTask[] {
  const machines = standing(house, ['dehumidifier'])
  if (house.dehumidifierAtStart && house.firstHeardAt !== null) machines.push(house.firstHeardAt)
  if (machines.length === 0) return []
  const from = Math.max(...machines)
  const everyMonths = { filter: held.filterMonths, 'condensate line': held.drainLineMonths } as const
  return (['filter', 'condensate line'] as const).map((task) => {
    // The first that is not long past; earlier ones were told of in their time.
    let times = 1
    while (monthsAfter(from, times * everyMonths[task], house.timeZone) + LATE_MS <= now) times++
    const dueAt = monthsAfter(from, times * everyMonths[task], house.timeZone)
    return { task, dueAt, everyMonths: everyMonths[task] }
  })
}

/** The same day of a later month, or that month's last. */
function monthsAfter(from: number, months: number, timeZone: string): number {
  const [year, month, day] = localDateText(from, timeZone).split('-').map(Number) as [number, number, number]
  const last = new Date(Date.UTC(year, month + months, 0)).getUTCDate()
  return morningOf(Date.UTC(year, month - 1 + months, Math.min(day, last)), timeZone)
}

function afterFirstRain(
  { bigRains, timeZone }: RegularHouse,
  drains: readonly number[],
  now: number,
  lookDay: (rainAt: number) => number,
): { rainLetters: RegularLetter[]; afterRains: number[] } {
  // Several drains that wait for one rain are one letter, named by the last of them.
  const workBy = new Map<number, number>()
  for (const from of [...drains].sort((a, b) => a - b)) {
    const rain = bigRains.find((at) => at >= from)
    if (rain !== undefined && rain - from < FIRST_RAIN_MS) workBy.set(rain, from)
  }
  const rainLetters = [...workBy].flatMap(([rain, from]): RegularLetter[] => {
    const dueAt = lookDay(rain)
    if (now < dueAt || now - dueAt >= RAIN_LATE_MS) return []
    const key = `upkeep catch basins first rain after ${localDateText(from, timeZone)}`
    return [{ key, kind: 'upkeep', tasks: [{ task: 'catch basins', dueAt, everyMonths: null }] }]
  })
  return { rainLetters, afterRains: [...workBy.keys()] }
}
