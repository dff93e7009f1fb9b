/** What is drawn of the house, in words with leaders. Only what is recorded is named. Pure. */
import { drainagePlaces } from './downspouts.ts'
import { basinBox, footingDrainBoxes } from './drainage.ts'
import type { Part, SectionFacts } from './facts.ts'
import { type LabelLine, labelSize, type Try } from './labels.ts'
import { machineBox } from './machine.ts'
import type { Box, Point } from './shapes.ts'
import { gradeAt, inside, type Sheet } from './sheet.ts'

export interface Callout {
  id: string
  lines: LabelLine[]
  tries: Try[]
}

/** @param dated a date as the person reads it */
export function callouts(sheet: Sheet, facts: SectionFacts, dated: (at: number) => string): Callout[] {
  if (sheet.form === 'phone') return []
  const since = (part: Part | null): LabelLine[] =>
    part === null || part.since === null ? [] : [{ text: dated(part.since), ink: part.fresh ? 'rust' : 'ink2' }]
  const { left, right, eaves, floorTop, ventTop, ventHeight, ground, footing } = sheet
  const pipes = drainagePlaces(sheet)
  const vent = ventTop + ventHeight / 2
  const one = (id: string, lines: LabelLine[], tries: (size: { width: number; height: number }) => Try[]): Callout => ({
    id,
    lines,
    tries: tries(labelSize(lines, sheet.sizePx)),
  })
  /** Words left or right of a point, with a level leader; `aside` says how far off. */
  const level =
    (target: Point, way: -1 | 1, asides: readonly number[], rises: readonly number[]) =>
    (size: { width: number; height: number }): Try[] =>
      rises.flatMap((rise) =>
        asides.map((aside) => {
          const edge = { x: target.x + way * aside, y: target.y + rise }
          const box: Box = { ...size, x: way < 0 ? edge.x - size.width - 4 : edge.x + 4, y: edge.y - size.height / 2 }
          return { box, leader: rise === 0 ? [edge, target] : [edge, { x: target.x + way * 14, y: edge.y }, target] }
        }),
      )
  const below =
    (target: Point, drops: readonly number[], shifts: readonly number[]) =>
    (size: { width: number; height: number }): Try[] =>
      drops.flatMap((drop) =>
        shifts.map((shift) => ({
          box: { ...size, x: target.x + shift, y: target.y + drop },
          leader: [{ x: target.x, y: target.y + drop - 1 }, target],
        })),
      )
  const found: Callout[] = []
  const high = (eaves + 26 + floorTop) / 2 - 10
  if (facts.downspoutDrain) {
    const lines: LabelLine[] = [{ text: 'downspouts to a pipe' }, ...since(facts.downspoutDrain)]
    found.push(
      one(
        'downspouts',
        lines,
        level({ x: pipes.left - pipes.tube / 2, y: high }, -1, [30, 16], [0, 20, -20, 40, 60, 80]),
      ),
    )
  } else if (facts.downspouts !== 'not recorded') {
    const lines: LabelLine[] =
      facts.downspouts === 'some led away'
        ? [{ text: 'some downspouts' }, { text: 'are led away' }]
        : facts.downspouts === 'led away'
          ? [{ text: 'downspouts' }, { text: 'are led away' }]
          : [{ text: 'downspouts end' }, { text: 'at the wall' }]
    found.push(one('downspouts', lines, level({ x: pipes.right + pipes.tube / 2, y: high }, 1, [30, 16], [0, 20, -20])))
  }
  if (facts.wall !== 'piers' && (facts.vents === 'sealed' || facts.vents === 'open' || facts.vents === 'partly open')) {
    const lines: LabelLine[] = [
      { text: facts.vents === 'sealed' ? 'vents sealed' : facts.vents === 'open' ? 'vents open' : 'vents partly open' },
      ...since(facts.ventLids),
    ]
    found.push(one('vents', lines, level({ x: left - 3, y: vent }, -1, [52, 70], [0, -30, -44, -58])))
  }
  if (facts.ventFan)
    found.push(
      one(
        'vent fan',
        [{ text: 'vent fan' }, ...since(facts.ventFan)],
        level({ x: right + 3, y: vent }, 1, [52, 34], [-44, -58, 0]),
      ),
    )
  if (facts.grade !== 'not recorded') {
    const x = right + (sheet.width - right) * 0.62
    const words =
      facts.grade === 'falls toward'
        ? ['grade falls', 'toward the wall']
        : facts.grade === 'falls away'
          ? ['grade falls', 'away from the wall']
          : ['grade is level', 'at the wall']
    found.push(
      one(
        'grade',
        words.map((text) => ({ text })),
        below({ x, y: gradeAt(sheet, x) }, [22, 14, 34], [-20, 0, -70]),
      ),
    )
  }
  if (facts.yardDrain) {
    const box = basinBox(sheet)
    const target = { x: box.x + box.width / 2, y: box.y + box.height }
    found.push(
      one(
        'yard drain',
        [{ text: sheet.form === 'wide' ? 'yard drain, catch basin' : 'yard drain' }, ...since(facts.yardDrain)],
        below(target, [12, 20, 30], [-16, -60, 4]),
      ),
    )
  }
  if (facts.footingDrain) {
    const box = footingDrainBoxes(sheet)[0]!
    const target = { x: box.x + box.width * 0.4, y: box.y + box.height }
    found.push(
      one(
        'footing drain',
        [{ text: 'footing drain' }, ...since(facts.footingDrain)],
        below(target, [10, 18, 30], [-60, -90, -20]),
      ),
    )
  }
  const { from, to } = inside(sheet)
  const below0 = footing.y - ground + 6
  if (facts.coverShare !== null) {
    const share = Math.round(facts.coverShare * 100)
    const words = share < 1 ? 'bare ground' : `ground cover on ${share} %`
    const x = from + Math.max(0.06, Math.min(facts.coverShare, 1) * 0.1) * (to - from)
    found.push(
      one(
        'ground cover',
        [{ text: words }, ...(share < 1 ? [] : since(facts.newCover))],
        below({ x, y: ground - 1 }, [below0, below0 + 10, below0 + 20], [-8, 10, 40, 80]),
      ),
    )
    if (share >= 10 && share <= 85) {
      const bare = from + ((facts.coverShare + 1) / 2) * (to - from)
      found.push(
        one(
          'bare ground',
          [{ text: 'bare ground' }],
          below({ x: bare, y: ground }, [below0, below0 + 10], [-30, -60, 4]),
        ),
      )
    }
  }
  if (facts.dehumidifier) {
    const box = machineBox(sheet)
    const lines: LabelLine[] = [{ text: 'dehumidifier' }, ...since(facts.dehumidifier)]
    const size = labelSize(lines, sheet.sizePx)
    found.push({
      id: 'dehumidifier',
      lines,
      tries: [
        { box: { ...size, x: box.x + box.width + 6, y: box.y + box.height - size.height } },
        { box: { ...size, x: box.x + box.width + 6, y: box.y } },
        { box: { ...size, x: box.x + box.width + 6, y: box.y + 20 } },
      ],
    })
  }
  return found
}
