/**
 * How a station's table is read, settled once. A person looks at a table when the station is entered; afterwards it comes
 * by itself, a few days at a time, and nothing may be guessed from so few values: 40 degrees of a winter's day are neither
 * clearly °F nor °C. So what the look worked out is kept as answers, and whatever a later table leaves open waits for a person.
 */

import { NO_VALUE } from '../csv/roles.ts'
import type { Answers, Look, Question, Understanding } from '../csv/understanding.ts'
import { quantityNamed } from '../csv/words.ts'
import { isRainOrOutdoor, type OutdoorQuantity } from '../stationQuantities.ts'

export type Understood = Extract<Look, { ok: true }>

/** The answers given, and beside them what the look worked out from values; what it could not stays open. */
export function settledAnswers({ understanding, questions }: Understood, answers: Answers): Answers {
  const { columns, time, timeZoneBasis, decimalMark, keptKinds } = understanding
  const asked = (key: Question['key']) => questions.find((question) => question.key === key)
  const isOpen = (question: Question | undefined) => question?.assumed === null && !isAnswered(question, answers)
  const unsure = questions.filter(isOpen).flatMap(columnsOf)
  const guessed = columns.flatMap(({ key, unit, unitFrom }) =>
    unit && unitFrom === 'values' && !unsure.includes(key) ? [[key, unit]] : [],
  )
  const zoneGuessed = asked('timeZone') !== undefined || timeZoneBasis === 'house zone' || timeZoneBasis === 'asked'
  return {
    ...answers,
    ...(!isOpen(asked('decimalMark')) && { decimalMark }),
    ...(guessed.length > 0 && { columnUnits: { ...answers.columnUnits, ...Object.fromEntries(guessed) } }),
    ...(time.form === 'text' && !isOpen(asked('dateOrder')) && { dateOrder: time.dateOrder }),
    ...(zoneGuessed && !isOpen(asked('timeZone')) && { timeZone: time.zone }),
    ...(asked('sumsMark') && { sumsMark: answers.sumsMark ?? 'end' }),
    ...(asked('rowKinds') && { rowKinds: answers.rowKinds ?? keptKinds }),
  }
}

const columnsOf = ({ columns, column }: Question): string[] => columns ?? (column === undefined ? [] : [column])

/**
 * What the answers leave open in this table, each as a sentence; empty when it may be stored unseen.
 *
 * @param quantities that the station is known to tell: a column that was renamed must not go missing in silence
 */
export function openPoints(
  { understanding, questions }: Understood,
  answers: Answers,
  { fileProbes, quantities }: { fileProbes: readonly string[]; quantities: readonly string[] },
): string[] {
  const open = questions.filter((question) => !isAnswered(question, answers)).map(({ why }) => why)
  const guessed = understanding.columns.filter(
    ({ key, quantity, unitFrom }) =>
      quantity !== 'waterPresent' && unitFrom === 'values' && answers.columnUnits?.[key] === undefined,
  )
  const named = new Set(questions.flatMap(columnsOf))
  for (const { key, because } of guessed)
    if (!named.has(key)) open.push(`${key} is new, or named otherwise: ${because}.`)
  const { why } = probesOfStation(understanding, fileProbes)
  if (why !== null) open.push(why)
  for (const quantity of quantities.filter((told) => !isInColumns(told, understanding))) {
    open.push(
      `The table no longer says which column is its ${WORDS[quantity] ?? quantity}. Say which it is, or that it is gone.`,
    )
  }
  return open
}

const WORDS: Record<string, string> = { tempC: 'temperature', rhPct: 'humidity', rainMm: 'rain' }

/** Whether a column tells it; dew point and vapor pressure become humidity. A gauge's column may be empty while it is dry. */
const isInColumns = (told: string, { columns }: Understanding): boolean =>
  columns.some(({ quantity, because, name }) => {
    const tells = because === NO_VALUE ? quantityNamed(name)?.quantity : quantity
    return tells === told || (told === 'rhPct' && (tells === 'dewPointC' || tells === 'vaporPressurePa'))
  })

function isAnswered(question: Question, answers: Answers): boolean {
  const { key } = question
  if (key === 'columnRoles') return false // no column was taken for a quantity, whatever was answered
  if (key !== 'columnUnits') return answers[key] !== undefined
  return columnsOf(question).every((column) => answers.columnUnits?.[column] !== undefined)
}

/**
 * The table's places that are this station's. Several go together where no two tell the same quantity (a header may name
 * the gauge apart); otherwise a person says which.
 */
export function probesOfStation(
  { probes }: Understanding,
  wanted: readonly string[],
): { probes: string[]; quantities: OutdoorQuantity[]; why: string | null } {
  const telling = probes.filter(({ quantities }) => quantities.some(({ quantity }) => isRainOrOutdoor(quantity)))
  const chosen = wanted.length === 0 ? telling : telling.filter(({ probeKey }) => wanted.includes(probeKey))
  const told = chosen.flatMap(({ quantities }) => quantities.map(({ quantity }) => quantity).filter(isRainOrOutdoor))
  const quantities = [...new Set(told)]
  const names = telling.map(({ probeKey }) => `"${probeKey}"`).join(', ')
  let why: string | null = null
  if (telling.length === 0) why = 'The table holds no temperature, humidity or rain. Say which columns do.'
  else if (chosen.length === 0)
    why = `The table no longer holds ${wanted.map((key) => `"${key}"`).join(', ')}; it holds ${names}. Say which is this station.`
  else if (told.length > quantities.length)
    why = `The table holds several places that tell the same: ${names}. Say which is this station.`
  return { probes: chosen.map(({ probeKey }) => probeKey), quantities, why }
}
