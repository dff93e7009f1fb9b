/** What the section shows of a house on one day: facts as they were when the record began, and works up to that day. Pure. */
import type { HouseTree } from '../../server/http/contract/house.ts'
import type { HousePage } from '../../server/http/contract/page.ts'
import type { WorkKind } from '../../server/http/contract/words.ts'

export type Wall = 'block' | 'concrete' | 'piers' | 'not recorded'
export type Water = 'end at the wall' | 'some led away' | 'led away' | 'not recorded'
export type Grade = 'falls away' | 'level' | 'falls toward' | 'not recorded'

/** A part of the house; `fresh` parts are younger than a year on that day and are drawn in the color of works. */
export interface Part {
  fresh: boolean
  /** When it was put in; null: it was there when the record began. */
  since: number | null
}

export interface SectionFacts {
  wall: Wall
  grade: Grade
  downspouts: Water
  downspoutDrain: Part | null
  yardDrain: Part | null
  footingDrain: Part | null
  vents: 'open' | 'partly open' | 'sealed' | 'none' | 'not recorded'
  ventLids: Part | null
  ventFan: Part | null
  /** 0 to 1; null where it is not recorded. */
  coverShare: number | null
  newCover: Part | null
  /** The cover goes up the walls. */
  wallsLined: boolean
  dehumidifier: Part | null
  insulated: boolean | null
  /** Sizes of the space [m], usual ones where they are not recorded. */
  lengthM: number
  heightM: number
  /** What is drawn neutrally because nobody recorded it. */
  notRecorded: string[]
}

const YEAR_MS = 365 * 86_400_000
const USUAL_LENGTH_M = 13
const USUAL_HEIGHT_M = 0.9

type Works = HousePage['works']

export function sectionFacts(house: HouseTree, works: Works, at: number): SectionFacts {
  const space = house.spaces.find(({ role }) => role !== 'outdoor' && role !== 'living')
  const parts = new Map(
    (house.works ?? []).map((work) => [work.key, [work.kind, ...(work.details?.parts ?? [])] as WorkKind[]]),
  )
  const standing = works.filter((work) => work.at <= at && (work.to === null || work.to > at))
  const last = (...kinds: WorkKind[]) =>
    standing.findLast((work) => parts.get(work.key)?.some((kind) => kinds.includes(kind)))
  const part = (work: Works[number] | undefined): Part | null =>
    work ? { fresh: at - work.at < YEAR_MS, since: work.at } : null

  const sealed = last('vents sealed', 'encapsulation')
  const opened = last('vents opened')
  const lids = sealed && (opened === undefined || opened.at < sealed.at) ? sealed : undefined
  const cover = last('ground cover', 'encapsulation')
  const details = house.works?.find(({ key }) => key === cover?.key)?.details
  const facts = house.facts ?? {}
  const coverShare = cover
    ? (details?.coverSharePct ?? 100) / 100
    : space?.groundCoverSharePct === undefined
      ? null
      : space.groundCoverSharePct / 100
  const atStart = space?.ventState === 'closed' || space?.kind === 'closed' || space?.kind === 'conditioned'
  const vents = opened && !lids ? 'open' : lids || atStart ? 'sealed' : ventsAtStart(space)
  const machine = last('dehumidifier')
  const notRecorded = [
    ...(facts.downspouts === undefined ? ['where the downspouts end'] : []),
    ...(facts.gradeAtWall === undefined ? ['the grade at the wall'] : []),
    ...(facts.foundationWall === undefined ? ['the foundation wall'] : []),
    ...(vents === 'not recorded' ? ['the vents'] : []),
    ...(coverShare === null ? ['the ground cover'] : []),
    ...(cover && details?.coverSharePct === undefined ? ['the share that the new cover covers'] : []),
    ...(facts.floorInsulated === undefined ? ['the floor insulation'] : []),
    ...(space?.heightM === undefined ? ['the height of the space'] : []),
  ]
  return {
    wall: wallOf(facts.foundationWall),
    grade: facts.gradeAtWall ?? 'not recorded',
    downspouts: facts.downspouts ?? 'not recorded',
    downspoutDrain: part(last('downspout drain')),
    yardDrain: part(last('yard drain')),
    footingDrain: part(last('footing drain')),
    vents,
    ventLids: part(lids),
    ventFan: part(last('vent fan')),
    coverShare,
    newCover: part(cover),
    wallsLined: last('encapsulation') !== undefined,
    dehumidifier: part(machine) ?? (facts.dehumidifierAtStart ? { fresh: false, since: null } : null),
    insulated: facts.floorInsulated ?? null,
    lengthM: lengthOf(space),
    heightM: space?.heightM ?? USUAL_HEIGHT_M,
    notRecorded,
  }
}

type Space = HouseTree['spaces'][number] | undefined

function ventsAtStart(space: Space): SectionFacts['vents'] {
  if (space?.ventCount === 0 || space?.role === 'basement') return 'none'
  if (space?.ventState === 'partly') return 'partly open'
  if (space?.ventState === 'open' || space?.kind === 'vented') return 'open'
  return 'not recorded'
}

function wallOf(text: string | undefined): Wall {
  if (text === undefined) return 'not recorded'
  if (/pier/i.test(text)) return 'piers'
  return /block|brick|masonry|stone/i.test(text) ? 'block' : 'concrete'
}

/** The longer side of the rectangle of this area and perimeter; spots further out stretch it. */
function lengthOf(space: Space): number {
  const furthest = Math.max(0, ...(space?.spots ?? []).map(({ x }) => x ?? 0))
  const half = (space?.perimeterM ?? 0) / 2
  const root = half ** 2 / 4 - (space?.floorAreaM2 ?? 0)
  const long = half > 0 && root >= 0 ? half / 2 + Math.sqrt(root) : Math.sqrt((space?.floorAreaM2 ?? 0) * 1.4)
  return Math.max(long || USUAL_LENGTH_M, furthest)
}
