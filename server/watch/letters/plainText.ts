/** A letter as plain text: the same parts in the same order as in HTML, lines that a phone can wrap. */
import type { LetterParts } from './parts.ts'

export function plainText(parts: LetterParts): string {
  const { house, headline, happened, urgency, steps, cautions, weDo, call, picture, rows, links, note, foot, stop } =
    parts
  const blocks: (string | null)[] = [
    house,
    `${headline}\n${happened.join('\n')}`,
    urgency === null ? null : `HOW URGENT\n${urgency}`,
    steps.length === 0 ? null : `WHAT TO DO NOW\n${steps.map((step, i) => `${i + 1}. ${step}`).join('\n')}`,
    cautions.length === 0 ? null : `TAKE CARE\n${cautions.join('\n')}`,
    weDo === null ? null : `WHAT WE DO\n${weDo}`,
    call === '' ? null : `WHOM TO CALL\n${call}`,
    rows === null ? null : `${rows.head.toUpperCase()}\n${rows.rows.map(([a, b]) => `${a}: ${b}`).join('\n')}`,
    picture === null ? null : `PICTURE\n${picture.alt}`,
    links.length === 0 ? null : links.map(({ label, url }) => `${label}:\n${url}`).join('\n\n'),
    note,
    `-- \n${[...foot, ...(stop === null ? [] : [`${stop.label}: ${stop.url}`])].join('\n')}`,
  ]
  return `${blocks.filter((block) => block !== null).join('\n\n')}\n`
}
