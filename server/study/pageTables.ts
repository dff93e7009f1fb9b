/** The tables of a house's page: one block a spot, because names are long, and one row a period, surface or storm. */
import type { HouseTree } from '../store/houseTree.ts'
import type { Finding, FindingNumber } from './finding.ts'
import type { CouplingData, DatesData, StormsData, WoodData } from './findingData.ts'
import { table } from './pageText.ts'
import { plainNumber, type Units, unitText } from './wording.ts'

type Named = Pick<HouseTree, 'spaces'>

export function spotName({ spaces }: Named, path: string): string {
  for (const { key, spots } of spaces) {
    for (const spot of spots) if (`${key}/${spot.key}` === path) return spot.name
  }
  return path
}

/** Head lines, then the name of each spot above its rows. */
function spotBlocks(
  house: Named,
  heads: readonly string[][],
  findings: readonly Finding[],
  rowOf: (finding: Finding) => string[],
): string[] {
  const rows: string[][] = []
  const names = new Map<number, string>()
  for (const path of new Set(findings.map(({ subject }) => subject.spot ?? ''))) {
    names.set(rows.length, spotName(house, path))
    rows.push(...findings.filter(({ subject }) => subject.spot === path).map(rowOf))
  }
  const lines = table([...heads, ...rows], '    ')
  const out = lines.slice(0, heads.length)
  for (const [r, line] of lines.slice(heads.length).entries()) {
    const name = names.get(r)
    if (name !== undefined) out.push(`  ${name}`)
    out.push(line)
  }
  return out
}

/** "2025-05-01 to 07-06", the second year only where it is another. */
function shortDates({ data }: Finding): string {
  const { from, to } = data as DatesData
  return `${from} to ${from.slice(0, 4) === to.slice(0, 4) ? to.slice(5) : to}`
}

export function levelsTable(house: Named, findings: readonly Finding[], units: Units): string[] {
  const degrees = unitText('°C', units)
  const heads = [
    ['', 'dew point', degrees, 'vapor against outdoors', 'hours over RH', 'wood moisture'],
    ['', 'mean', 'high*', unitText('Pa', units), '60/70/80/90 %', '%, at end'],
  ]
  return [
    ...spotBlocks(house, heads, findings, (finding) => levelsRow(finding, units)),
    '    * 95 % of the hours stay below it. In brackets: what the sensors, or the estimate, leave open.',
  ]
}

function levelsRow(finding: Finding, units: Units): string[] {
  const { numbers } = finding
  const dates = shortDates(finding)
  const { meanDewPoint, highDewPoint, vaporExcess, knownHours, woodEstimate, completeDays, daysInPeriod } = numbers
  if (!meanDewPoint || !highDewPoint) {
    return [dates, '', '', `too few days: ${completeDays?.value ?? 0} of ${daysInPeriod?.value ?? 0}`]
  }
  const shares = [60, 70, 80, 90].map((line) => {
    const over = numbers[`hoursOver${line}`]
    return over && knownHours && knownHours.value > 0 ? Math.round((100 * over.value) / knownHours.value) : '?'
  })
  return [
    dates,
    plainNumber(meanDewPoint.value, meanDewPoint.unit, units),
    plainNumber(highDewPoint.value, highDewPoint.unit, units),
    vaporExcess ? signedRange(vaporExcess, units) : 'not known',
    shares.join('/'),
    woodEstimate ? range(woodEstimate, units) : '',
  ]
}

const signed = (text: string) => (text.startsWith('-') || Number(text) === 0 ? text : `+${text}`)

const signedRange = ({ value, unit, low, high }: FindingNumber, units: Units): string => {
  const text = (number: number) => signed(plainNumber(number, unit, units))
  return `${text(value)} (${text(low ?? value)} to ${text(high ?? value)})`
}

const range = ({ value, unit, low, high }: FindingNumber, units: Units): string => {
  const text = (number: number) => plainNumber(number, unit, units)
  return low === undefined || high === undefined ? text(value) : `${text(value)} (${text(low)}-${text(high)})`
}

const LETTERS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZ'

/** One row a storm: what vapor did at each spot in the 72 hours after it began, the weather taken away. */
export function stormsTable(house: Named, { storms }: StormsData, units: Units): string[] {
  const spots = [...new Set(storms.flatMap(({ responses }) => responses.map(({ spot }) => spot)))]
  // Where no sensor for liquid water ever reported, the column would say so on every row.
  const liquidKnown = storms.some(({ responses }) => responses.some(({ liquid }) => liquid !== 'not measured'))
  const head = ['began', unitText('mm', units), ...spots.map((_, s) => `${LETTERS[s] ?? s + 1} `)]
  if (liquidKnown) head.push('liquid water')
  const rows = storms.map(({ date, rainMm, atLeast, storms: joined, responses }) => {
    const cells = spots.map((path) => {
      const one = responses.find(({ spot }) => spot === path)
      if (!one || one.changePa === null) return '?'
      return `${signed(plainNumber(one.changePa, 'Pa', units))}${one.clear ? '!' : ' '}`
    })
    const liquids = responses.map(({ liquid }) => liquid)
    const liquid = liquids.includes('seen') ? 'seen' : liquids.includes('not seen') ? 'not seen' : 'not measured'
    const rain = `${atLeast ? 'over ' : ''}${plainNumber(rainMm, 'mm', units)}`
    return [joined > 1 ? `${date} (${joined} rains)` : date, rain, ...cells, ...(liquidKnown ? [liquid] : [])]
  })
  return [
    `  Vapor after less before, ${unitText('Pa', units)}, outdoor weather taken away. ! a clear rise, ? cannot be told.`,
    ...spots.map((path, s) => `    ${LETTERS[s] ?? s + 1} ${spotName(house, path)}`),
    ...table([head, ...rows], '    '),
  ]
}

export function rainTable(house: Named, findings: readonly Finding[], units: Units): string[] {
  const heads = [
    ['', 'rains', 'of these', `rise, ${unitText('Pa/mm', units)}`],
    ['', 'judged', 'clear rise', 'middle (least to most)'],
  ]
  return spotBlocks(house, heads, findings, (finding) => {
    const { judged, clear, perRain } = finding.numbers
    return [
      shortDates(finding),
      `${judged?.value ?? 0}`,
      `${clear?.value ?? 0}`,
      perRain ? signedRange(perRain, units) : '',
    ]
  })
}

export function couplingTable(house: Named, findings: readonly Finding[], units: Units): string[] {
  const heads = [
    ['', 'follows outdoor', 'vapor against outdoors', ''],
    ['', 'dew point by*', unitText('Pa', units), ''],
  ]
  return [
    ...spotBlocks(house, heads, findings, (finding) => {
      const { follows, excess } = finding.numbers
      const { verdict } = finding.data as CouplingData
      return [
        shortDates(finding),
        follows ? plainNumber(follows.value, follows.unit, units) : '',
        excess ? signedRange(excess, units) : '',
        verdict,
      ]
    }),
    '    * degrees for each degree outdoors; 1 is outdoor air itself, 0 is air of its own.',
  ]
}

const TOPICS: Record<WoodData['topic'], string> = {
  'wood moisture': 'wood moisture, %',
  'mold index': 'mold index, 0 to 6',
  '30-day surface': '30-day surface RH, %',
}

export function woodTable(house: Named, findings: readonly Finding[], units: Units): string[] {
  const heads = [['', 'at the end', 'at most', '']]
  return [
    ...spotBlocks(house, heads, findings, ({ numbers, data }) => {
      const { topic, state } = data as WoodData
      const { now, most } = numbers
      return [TOPICS[topic], now ? range(now, units) : '?', most ? range(most, units) : '?', state]
    }),
    '    Mold index: 1 under a microscope, 3 by eye. Its range, and that of surface RH, is for a surface',
    '    as warm as the air and for a colder one. It says what this air would grow, not what is there: look.',
  ]
}
