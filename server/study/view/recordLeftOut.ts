/** Hours that no analysis uses, each with its reason. */
import { instantOfLocalText } from '../../series/localTime.ts'
import { marksOfBits, UNUSABLE_BITS } from '../../series/marks.ts'
import { findMarkedHours, hasMarkedHours } from '../../store/hourBuckets.ts'
import type { HouseTree } from '../../store/houseTree.ts'
import type { Database } from '../../store/open.ts'
import { visitEnd } from '../../store/visits.ts'
import type { Source } from './recordSources.ts'
import type { RecordView } from './recordTypes.ts'

const REASONS: Record<string, string> = {
  stuck: 'the sensor did not change at all',
  spike: 'a jump no air makes',
  'unit swap': 'the readings came in another unit',
}

export async function leftOutOf(
  db: Database,
  sources: readonly Source[],
  tree: HouseTree,
  span: { from: number; to: number },
): Promise<RecordView['leftOut']> {
  const leftOut: RecordView['leftOut'] = []
  for (const { path, placed } of sources) {
    for (const { probeId, from, to } of placed) {
      const own = { from: Math.max(span.from, from), to: Math.min(span.to, to) }
      if (own.to <= own.from || !(await hasMarkedHours(db, probeId, own, UNUSABLE_BITS))) continue
      for (const run of await findMarkedHours(db, probeId, own, UNUSABLE_BITS)) {
        const kinds = marksOfBits(run.bits).map((kind) => REASONS[kind] ?? kind)
        leftOut.push({ spot: path, from: run.from, to: run.to, reason: kinds.join(', ') })
      }
    }
  }
  const instant = (text: string) => instantOfLocalText(text, tree.timeZone)
  for (const event of tree.events ?? []) {
    const { kind, from } = event
    if ((kind !== 'visit' && kind !== 'logger touched') || !from.includes('T')) continue
    const at = instant(from)
    const end = visitEnd(event, instant)
    if (at >= span.to || end <= span.from) continue
    for (const { path, role } of sources)
      if (role === 'inside') leftOut.push({ spot: path, from: at, to: end, reason: kind })
  }
  return leftOut
}
