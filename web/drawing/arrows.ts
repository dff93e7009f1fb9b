/** Water paths as arrows: width linear in liters a day, one scale for all that stand together. Pure. */
import type { Path, Sources } from '../sources/periods.ts'
import type { FormName } from './sheet.ts'

export type ArrowName =
  | Path['path']
  | 'woodGives'
  | 'outdoorAirLeaves'
  | 'houseLeaves'
  | 'woodTakes'
  | 'machine'
  | 'condenses'

export interface WaterArrow {
  name: ArrowName
  words: string
  lPerDay: { low: number; mid: number; high: number }
  widthPx: number
  /** The data fixed less than half of it, or the path cannot be told. */
  unsure: boolean
  /** Water that leaves the air under the house: a form of its own. */
  removed: boolean
  why: string
}

const PX_PER_LITER: Record<FormName, number> = { wide: 2.3, middle: 2.3, phone: 1.35 }
const LEAST_PX = 2
const MOST_PX: Record<FormName, number> = { wide: 40, middle: 40, phone: 28 }
/** Smaller ones would be dots; the tables tell them. */
const LEAST_L = 0.05

const WORDS: Record<ArrowName, string> = {
  outdoorAir: 'outdoor air',
  ground: 'ground',
  rain: 'rain-wet ground',
  leak: 'steady leak',
  house: 'house air',
  woodGives: 'wood drying',
  outdoorAirLeaves: 'out with the air',
  houseLeaves: 'up into the house',
  woodTakes: 'into the wood',
  machine: 'taken out',
  condenses: 'condenses',
}

/** Pixels per L/day for the largest of these amounts: the scale of the whole drawing gives way, never that of one arrow. */
export const arrowScale = (amounts: readonly number[], form: FormName): number =>
  Math.min(PX_PER_LITER[form], MOST_PX[form] / Math.max(1e-9, ...amounts))

export const arrowWidth = (lPerDay: number, pxPerLiter: number): number => Math.max(LEAST_PX, lPerDay * pxPerLiter)

/** Everything that comes and goes in a period, drawn or not, without widths. */
function flows(sources: Sources): Omit<WaterArrow, 'widthPx'>[] {
  const told = (path: Path) => ({
    unsure: path.dashed || path.standing === 'cannot tell from humidity alone',
    why: path.standing === 'told' ? `the readings fixed ${Math.round(path.dataShare * 100)} % of it` : path.standing,
  })
  const leaves = (name: 'outdoorAir' | 'house') =>
    sources.paths
      .filter(({ path }) => path === name)
      .map((path) => {
        const arrow = name === 'house' ? 'houseLeaves' : 'outdoorAirLeaves'
        return { name: arrow, words: WORDS[arrow], lPerDay: path.leavesLPerDay, removed: true, ...told(path) } as const
      })
  const firm = (name: ArrowName, lPerDay: WaterArrow['lPerDay'], removed: boolean, why: string) => ({
    name,
    words: WORDS[name],
    lPerDay,
    unsure: false,
    removed,
    why,
  })
  return [
    ...sources.paths.map((path) => ({
      name: path.path,
      words: WORDS[path.path],
      lPerDay: path.entersLPerDay,
      removed: false,
      ...told(path),
    })),
    firm('woodGives', sources.woodGivesLPerDay, false, 'given back by the framing'),
    ...leaves('outdoorAir'),
    ...leaves('house'),
    firm('woodTakes', sources.woodTakesLPerDay, true, 'taken up by the framing'),
    firm('machine', sources.machineLPerDay, true, 'taken out by the dehumidifier'),
    firm('condenses', sources.condensesLPerDay, true, 'condensed on cold surfaces'),
  ]
}

export const amountsOf = (sources: Sources): number[] => flows(sources).map(({ lPerDay }) => lPerDay.mid)

export const waterArrows = (sources: Sources, pxPerLiter: number): WaterArrow[] =>
  flows(sources)
    .filter(({ lPerDay }) => lPerDay.mid >= LEAST_L)
    .map((flow) => ({ ...flow, widthPx: arrowWidth(flow.lPerDay.mid, pxPerLiter) }))
