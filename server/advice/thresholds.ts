/** The thresholds that hold for one house: the defaults, over them the firm's own, over them the house's own. */
import {
  MOLD_CLASS_DEFAULT,
  type MoldClassSetting,
  NUMBER_DEFAULTS,
  type ThresholdName,
  type Thresholds,
} from './defaults.ts'

export interface ThresholdProblem {
  /** Where it stands, such as "house.settings.woodWetPct". */
  path: string
  problem: string
}

/** Settings were refused; all problems at once. */
export class ThresholdError extends RangeError {
  readonly problems: readonly ThresholdProblem[]
  constructor(problems: readonly ThresholdProblem[]) {
    super(problems.map(({ path, problem }) => `${path}: ${problem}`).join('\n'))
    this.name = 'ThresholdError'
    this.problems = problems
  }
}

const isName = (name: string): name is ThresholdName => Object.hasOwn(NUMBER_DEFAULTS, name)

/** Lines of which the first must stay below the second, or a rule could never fire or never end. */
const ORDERED: readonly (readonly [lower: ThresholdName, upper: ThresholdName, why: string])[] = [
  ['closedOffRhPct', 'closedOnRhPct', 'else a closed space that is damp could never be dry again, or would flicker'],
  ['woodDampPct', 'woodWetPct', 'else damp wood could not be told from wet wood'],
  ['woodDecayWatchPct', 'woodDecayActPct', 'else the watch line would never be seen'],
  ['freezeActC', 'freezeWatchC', 'else the watch line would never be seen'],
  ['followSlopeLow', 'followSlopeHigh', 'else no slope is near 1'],
  ['ventedOffPa', 'ventedExcessPa', 'else the notice would flicker'],
  ['woodRiseOffPoints', 'woodRiseWatchPoints', 'else the notice would flicker'],
  ['moldOffIndex', 'moldWetIndex', 'else the notice would flicker'],
  ['batteryLowShare', 'batteryOffShare', 'else the notice would flicker'],
  ['silentHours', 'silentOwnerHours', 'else an owner would hear of it before the contractor'],
  ['updateFirstHours', 'updateSecondHours', 'else the second time would come before the first'],
]
const AT_MOST: readonly (readonly [lower: ThresholdName, upper: ThresholdName])[] = [
  ['surfaceMinCompleteDays', 'surfaceMeanDays'],
  ['condensationDays', 'condensationOfDays'],
  ['screeningDays', 'diagnosisDays'],
  ['sensorLimitCheckedPa', 'sensorLimitPa'],
  ['answerUrgentHours', 'answerSoonHours'],
]

/**
 * @param firmSettings, houseSettings values by threshold name, as a person wrote them; others are refused by path
 * @throws ThresholdError listing every unknown name, wrong type, value out of range and pair out of order
 */
export function thresholds(
  firmSettings: Readonly<Record<string, unknown>> = {},
  houseSettings: Readonly<Record<string, unknown>> = {},
): Thresholds {
  const problems: ThresholdProblem[] = []
  const numbers = Object.fromEntries(
    Object.entries(NUMBER_DEFAULTS).map(([name, { value }]) => [name, value]),
  ) as Record<ThresholdName, number>
  let moldClass: MoldClassSetting = MOLD_CLASS_DEFAULT.value
  const source = new Map<string, string>()
  for (const [owner, settings] of [
    ['firm.settings', firmSettings],
    ['house.settings', houseSettings],
  ] as const) {
    for (const [name, value] of Object.entries(settings)) {
      const path = `${owner}.${name}`
      source.set(name, path)
      if (name === 'moldClass') {
        const known = MOLD_CLASS_DEFAULT.allowed.find((allowed) => allowed === value)
        if (known) moldClass = known
        else problems.push({ path, problem: `"${value}" is none of ${MOLD_CLASS_DEFAULT.allowed.join(', ')}.` })
      } else if (!isName(name)) {
        problems.push({ path, problem: `There is no threshold of that name.${nearest(name)}` })
      } else {
        const { min, max, unit } = NUMBER_DEFAULTS[name]
        if (typeof value === 'number' && value >= min && value <= max) numbers[name] = value
        else
          problems.push({ path, problem: `Give a number from ${min} to ${max} ${unit}, not ${JSON.stringify(value)}.` })
      }
    }
  }
  for (const [lower, upper, why] of ORDERED) {
    if (numbers[lower] < numbers[upper]) continue
    const path = source.get(lower) ?? source.get(upper) ?? lower
    problems.push({ path, problem: `${lower} (${numbers[lower]}) must be below ${upper} (${numbers[upper]}), ${why}.` })
  }
  for (const [lower, upper] of AT_MOST) {
    if (numbers[lower] <= numbers[upper]) continue
    const path = source.get(lower) ?? source.get(upper) ?? lower
    problems.push({ path, problem: `${lower} (${numbers[lower]}) must be at most ${upper} (${numbers[upper]}).` })
  }
  if (problems.length > 0) throw new ThresholdError(problems)
  return Object.freeze({ ...numbers, moldClass })
}

/** A name that differs only in case or unit ending is what was meant. */
function nearest(name: string): string {
  const stem = (text: string) => text.toLowerCase().replace(/(pct|pa|c|k|mm|hours|days|h|percent)$/, '')
  const close = Object.keys(NUMBER_DEFAULTS).find((known) => stem(known) === stem(name))
  return close ? ` Did you mean ${close}?` : ''
}

/** Rows that a person may read or edit: default, and what holds for this house. */
export function thresholdRows(held: Thresholds) {
  return (Object.keys(NUMBER_DEFAULTS) as ThresholdName[]).map((name) => ({
    name,
    ...NUMBER_DEFAULTS[name],
    held: held[name],
    changed: held[name] !== NUMBER_DEFAULTS[name].value,
  }))
}

/** The table of all defaults in Markdown, for DEVELOPERS.md. Ends with a line break. */
export function defaultsDocument(): string {
  const cell = (text: string) => text.replaceAll('|', '\\|')
  const lines = Object.entries(NUMBER_DEFAULTS).map(
    ([name, { value, unit, min, max, guards, usedIn, reference, meaning }]) =>
      `| \`${name}\` | ${value}${unit === '1' ? '' : ` ${unit}`} | ${min} to ${max} | ${meaning} | ${guards} | ${usedIn} | ${cell(reference)} |`,
  )
  const { value, allowed, reference, guards, usedIn, meaning } = MOLD_CLASS_DEFAULT
  return [
    '| name | default | allowed | meaning | guards against | used in | reference |',
    '|---|---|---|---|---|---|---|',
    ...lines,
    `| \`moldClass\` | ${value} | ${allowed.join(', ')} | ${meaning} | ${guards} | ${usedIn} | ${reference} |`,
    '',
  ].join('\n')
}
