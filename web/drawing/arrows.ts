/** Water paths as arrows: width linear in liters a day, one scale for all that stand together. Pure. */
import type { Path, Sources } from '../sources/periods.ts'

export type ArrowName = Path['path'] | 'wood' | 'machine'

export interface WaterArrow {
  name: ArrowName
  words: string
  lPerDay: { low: number; mid: number; high: number }
  widthPx: number
  /** The data fixed less than half of it, or the path cannot be told. */
  unsure: boolean
  /** Water that is taken out: a form of its own. */
  removed: boolean
  why: string
}

const PX_PER_LITER = 2.3
const LEAST_PX = 2
const MOST_PX = 40
/** Smaller ones would be dots. */
const LEAST_L = 0.02

const WORDS: Record<ArrowName, string> = {
  outdoorAir: 'outdoor air',
  ground: 'ground',
  rain: 'rain-wet ground',
  leak: 'steady leak',
  house: 'house air',
  wood: 'wood drying',
  machine: 'removed',
}

/** Pixels per L/day for the largest of these amounts: the scale of the whole drawing gives way, never that of one arrow. */
export const arrowScale = (amounts: readonly number[], fullPxPerLiter = PX_PER_LITER): number =>
  Math.min(fullPxPerLiter, MOST_PX / Math.max(1e-9, ...amounts))

export const arrowWidth = (lPerDay: number, pxPerLiter: number): number => Math.max(LEAST_PX, lPerDay * pxPerLiter)

export const amountsOf = ({ paths, woodGivesLPerDay, machineLPerDay }: Sources): number[] => [
  ...paths.map(({ entersLPerDay }) => entersLPerDay.mid),
  woodGivesLPerDay.mid,
  machineLPerDay.mid,
]

export function waterArrows(sources: Sources, pxPerLiter: number): WaterArrow[] {
  const arrow = (
    name: ArrowName,
    lPerDay: WaterArrow['lPerDay'],
    more: Pick<WaterArrow, 'unsure' | 'removed' | 'why'>,
  ): WaterArrow => ({
    name,
    words: WORDS[name],
    lPerDay,
    widthPx: arrowWidth(lPerDay.mid, pxPerLiter),
    ...more,
  })
  return [
    ...sources.paths.map((path) =>
      arrow(path.path, path.entersLPerDay, {
        unsure: path.dashed || path.standing === 'cannot tell from humidity alone',
        removed: false,
        why:
          path.standing === 'told' ? `the readings fixed ${Math.round(path.dataShare * 100)} % of it` : path.standing,
      }),
    ),
    arrow('wood', sources.woodGivesLPerDay, { unsure: false, removed: false, why: 'given back by the framing' }),
    arrow('machine', sources.machineLPerDay, { unsure: false, removed: true, why: 'taken out by the dehumidifier' }),
  ].filter(({ lPerDay }) => lPerDay.mid >= LEAST_L)
}
