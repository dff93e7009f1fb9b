/** Findings as a page of plain sentences, grouped by the question they answer. */
import type { HouseTree } from '../store/houseTree.ts'
import { type Finding, QUESTIONS, type Question } from './finding.ts'
import { type Units, wordedText } from './wording.ts'

const TITLES: Record<Question, string> = {
  'sensor checks': 'Whether the loggers can be believed',
  'moisture levels': 'How wet it is, spot by spot',
  'matched days': 'What each work did, on days alike before and after',
}

const WIDTH = 100

export function findingsPage(
  house: Pick<HouseTree, 'name' | 'invented' | 'place'>,
  findings: Finding[],
  units: Units,
): string {
  const place = house.place ? `, ${house.place}` : ''
  const lines = [`${house.name}${place}`]
  if (house.invented) lines.push('This house is invented: its readings come from a simulation.')
  for (const question of QUESTIONS) {
    const answers = findings.filter((finding) => finding.question === question)
    if (answers.length === 0) continue
    lines.push('', TITLES[question])
    for (const finding of answers) lines.push(...findingLines(finding, units))
  }
  return `${lines.join('\n')}\n`
}

function findingLines(finding: Finding, units: Units): string[] {
  const worded = (text: string) => wordedText(text, finding, units)
  return [
    ...wrapped(`- ${worded(finding.sentence)} [${finding.certainty}]`, '  '),
    ...finding.evidenceAgainst.flatMap((text) => wrapped(`    against: ${worded(text)}`, '      ')),
    ...(finding.missing ?? []).flatMap((text) => wrapped(`    missing: ${worded(text)}`, '      ')),
  ]
}

/** Breaks a line between words; what follows is indented. */
function wrapped(text: string, indent: string): string[] {
  const lines: string[] = []
  let line = text.match(/^ */)![0]
  for (const word of text.trim().split(' ')) {
    if (line.trim() !== '' && line.length + 1 + word.length > WIDTH) {
      lines.push(line)
      line = `${indent}${word}`
    } else line = line.trim() === '' ? line + word : `${line} ${word}`
  }
  return [...lines, line]
}
