/**
 * The pure analyses word their reasons in SI. Here the numbers with a unit that a US reader has otherwise are taken out
 * of such a sentence and put among the numbers of the finding, so that one wording serves both unit systems.
 */
import type { FindingNumber, FindingUnit } from './finding.ts'
import { MM_PER_INCH } from './wording.ts'

/** "250 Pa (100 to 400)" or "250 Pa", with "per inch" behind it perhaps; the range may stand before the unit too. */
const WITH_UNIT =
  /(-?\d+(?:\.\d+)?)(?: (Pa per inch|Pa|K|mm|°C)(?![\w/]))(?: \((-?\d+(?:\.\d+)?) to (-?\d+(?:\.\d+)?)\))?/g

/**
 * @param numbers of the finding, to which those found are added under names of their own
 * @returns the sentence with `{name}` in their places
 */
export function takeNumbersOut(sentence: string, numbers: Record<string, FindingNumber>): string {
  return sentence.replace(WITH_UNIT, (_, value: string, unit: string, low?: string, high?: string) => {
    const perInch = unit === 'Pa per inch'
    const of = (text: string) => Number(text) / (perInch ? MM_PER_INCH : 1)
    const number: FindingNumber = { value: of(value), unit: perInch ? 'Pa/mm' : (unit as FindingUnit) }
    if (low !== undefined && high !== undefined) Object.assign(number, { low: of(low), high: of(high) })
    const name = freeName(numbers)
    numbers[name] = number
    return `{${name}}`
  })
}

function freeName(numbers: Record<string, FindingNumber>): string {
  let n = 1
  while (numbers[`n${n}`]) n++
  return `n${n}`
}
