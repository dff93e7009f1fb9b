/**
 * Where the next logger goes, and why. Rules of the trade, most of them common practice without a source: few well-placed
 * loggers say more than many, each question needs its own place.
 */
import type { Thresholds } from './defaults.ts'

export interface PlacedProbe {
  spotName: string
  heightM: number | null
  measures: { air: boolean; wood: boolean; surface: boolean; water: boolean; rain: boolean }
}

export interface PlacingSpace {
  key: string
  name: string
  role: 'crawl space' | 'basement' | 'attic' | 'wall' | 'outdoor' | 'living'
  heightM: number | null
  floorAreaM2: number | null
  ventsOpen: boolean | null
  /** What hangs there now. */
  probes: readonly PlacedProbe[]
  /** Whether a cold surface was entered at one of its spots. */
  coldSurfaceKnown: boolean
}

export interface PlacingFacts {
  spaces: readonly PlacingSpace[]
  /** What outside weather sources tell of the house. */
  station: { dewPoint: boolean; rain: boolean }
  downspouts: 'end at the wall' | 'some led away' | 'led away' | null
  gradeAtWall: 'falls away' | 'level' | 'falls toward' | null
  /** The wettest place that a survey found, in its own words; null when none was measured. */
  wettestSeen: { space: string | null; place: string } | null
  /** A dehumidifier stands in one of the spaces. */
  dehumidifier: boolean
  /** Loggers of the house that hang nowhere. */
  atHand: number
}

export type PlacingNeed = 'air logger' | 'surface probe' | 'water contact' | 'rain gauge or station' | 'note'

export interface PlacingAdvice {
  key: string
  space: string | null
  need: PlacingNeed
  /** One of the loggers at hand can go there now. */
  now: boolean
  /** Where it goes, in a sentence. */
  where: string
  why: string
  /** Height, distances, what to look out for. */
  how: string[]
}

export interface Placing {
  /** Most urgent first; empty when nothing is missing. */
  advice: PlacingAdvice[]
  /** What is there already, in sentences. */
  enough: string[]
}

/** Round lengths as the trade says them, not converted. */
const WORDS = {
  us: { low: '6 to 12 in', away: '3 ft', outdoors: '4 to 6 ft' },
  si: { low: '15 to 30 cm', away: '1 m', outdoors: '1.2 to 1.8 m' },
} as const
type Words = (typeof WORDS)['us' | 'si']

/** Up to here a probe hangs low; within this share of the height below the floor it hangs at the joists. Proposals. */
const LOW_M = 0.4
const JOIST_SHARE = 0.6

export function placingAdvice(facts: PlacingFacts, limits: Thresholds, units: 'us' | 'si'): Placing {
  const words = WORDS[units]
  const below = facts.spaces.filter(({ role }) => role === 'crawl space' || role === 'basement')
  const steps = [
    outdoors(facts, words),
    ...below.flatMap((space) => [wettest(facts, space, words), joist(facts, space, words)]),
    ...below.map((space) => coldSurface(space)),
    ...below.map((space) => spread(facts, space, limits, words)),
    ...below.map((space) => liquid(space)),
    rain(facts),
    living(facts),
  ]
  const advice = steps.flatMap((step) => (step !== null && typeof step === 'object' ? [step] : []))
  const enough = steps.filter((step): step is string => typeof step === 'string')
  let left = facts.atHand
  return { advice: advice.map((one) => ({ ...one, now: one.need === 'air logger' && left-- > 0 })), enough }
}

type Step = Omit<PlacingAdvice, 'now'> | string | null

const air = (space: PlacingSpace) => space.probes.filter(({ measures }) => measures.air)

const isLow = ({ heightM, spotName }: PlacedProbe) =>
  heightM === null ? /\b(low|floor|ground)/i.test(spotName) : heightM <= LOW_M

const isAtJoists = ({ heightM, spotName }: PlacedProbe, space: PlacingSpace) =>
  heightM === null || space.heightM === null
    ? /\b(joist|beam|sill|rim|subfloor)/i.test(spotName)
    : heightM >= JOIST_SHARE * space.heightM

function keepAway(facts: PlacingFacts, space: PlacingSpace, words: Words): string[] {
  const things = [
    space.ventsOpen === false ? 'closed vents' : 'vents',
    'the access door',
    'duct joints',
    ...(facts.dehumidifier ? ['the intake and the blast of the dehumidifier'] : []),
    'water heater and lamps',
  ]
  return [
    `Keep it ${words.away} or more from ${things.join(', ')}.`,
    'It hangs free in the air: never against masonry, earth or plastic, never under insulation.',
  ]
}

function outdoors(facts: PlacingFacts, words: Words): Step {
  const spaces = facts.spaces.filter(({ role }) => role === 'outdoor')
  if (spaces.some((space) => air(space).length > 0)) return 'Outdoor air is measured at the house.'
  if (facts.station.dewPoint) return 'Outdoor dew point comes from a station: it is alike over a region.'
  return {
    key: 'outdoors',
    space: spaces[0]?.key ?? null,
    need: 'air logger',
    where: `One outdoors, on the north side, ${words.outdoors} above the ground.`,
    why: 'Without outdoor air nothing can tell whether the water comes in with the air or from the ground. A nearby station with dew point serves as well.',
    how: [
      'In the open air under a shield that keeps off sun and rain.',
      'Away from dryer, kitchen and air conditioner exhausts and from irrigation.',
    ],
  }
}

function wettest(facts: PlacingFacts, space: PlacingSpace, words: Words): Step {
  const low = air(space).find(isLow)
  if (low) return `${space.name}: a logger hangs low (${low.spotName}).`
  const seen =
    facts.wettestSeen !== null && (facts.wettestSeen.space ?? space.key) === space.key ? facts.wettestSeen.place : null
  const place =
    seen !== null
      ? `where the survey found it wettest (${seen})`
      : facts.downspouts === 'end at the wall' || facts.downspouts === 'some led away'
        ? 'in the lowest corner beside a downspout that ends at the wall'
        : facts.gradeAtWall === 'falls toward'
          ? 'on the side where the ground falls toward the house'
          : 'in the lowest corner, where stains, silt or salts on the wall tell of water'
  return {
    key: `wettest ${space.key}`,
    space: space.key,
    need: 'air logger',
    where: `${space.name}: one low, ${place}.`,
    why: 'Ground and rain show first low down in the wettest corner; the middle of the space hides it.',
    how: [`${words.low} above the ground or its cover.`, ...keepAway(facts, space, words)],
  }
}

function joist(facts: PlacingFacts, space: PlacingSpace, words: Words): Step {
  const high = air(space).find((probe) => isAtJoists(probe, space))
  if (high) return `${space.name}: a logger hangs at the framing (${high.spotName}).`
  return {
    key: `joist ${space.key}`,
    space: space.key,
    need: 'air logger',
    where: `${space.name}: one at half the height of a joist, near the worst wall.`,
    why: 'Mold and decay are judged from the air at the wood, and that air is not the air at the ground.',
    how: [
      'Beside the joist, a hand’s width from the wood.',
      ...keepAway(facts, space, words),
      'Where pins for wood moisture are at hand, set them here and in the rim at the wettest wall.',
    ],
  }
}

function coldSurface(space: PlacingSpace): Step {
  if (space.probes.some(({ measures }) => measures.surface)) return `${space.name}: a cold surface is measured.`
  if (space.coldSurfaceKnown) return `${space.name}: the temperature of a cold surface is entered.`
  return {
    key: `cold surface ${space.key}`,
    space: space.key,
    need: 'surface probe',
    where: `${space.name}: one surface temperature at the coldest surface.`,
    why: 'RH of the air does not tell whether a surface drips; its temperature does.',
    how: [
      'In summer the jacket of a supply duct or the bottom of the subfloor, in winter the rim.',
      'The sensor lies flat against the surface, with tape and a pad over it, never on a live conductor or inside a duct.',
      'Without a probe, enter the cold surface at its spot: what runs in it and how it is insulated.',
    ],
  }
}

function spread(facts: PlacingFacts, space: PlacingSpace, limits: Thresholds, words: Words): Step {
  const hung = air(space).length
  if (space.floorAreaM2 === null) {
    return {
      key: `area ${space.key}`,
      space: space.key,
      need: 'note',
      where: `${space.name}: enter its floor area.`,
      why: 'How many loggers it needs depends on it: two for a small one, more for a large one or for bays cut off from each other.',
      how: [],
    }
  }
  const further = Math.max(0, space.floorAreaM2 - limits.loggersFirstAreaM2)
  const wanted = 2 + Math.ceil(further / limits.loggersFurtherAreaM2)
  if (hung >= wanted) return `${space.name}: ${hung} loggers are enough for its size, unless a bay is cut off.`
  // The low one and the one at the joists are told by themselves.
  const [low, high] = [air(space).some(isLow), air(space).some((probe) => isAtJoists(probe, space))]
  const missing = wanted - hung - Number(!low) - Number(!high)
  if (missing <= 0) return null
  return {
    key: `spread ${space.key}`,
    space: space.key,
    need: 'air logger',
    where: `${space.name}: ${missing === 1 ? 'one more' : `${missing} more`}, ${hung < 3 ? 'in the center and at the driest place' : 'in bays that the others do not reach'}.`,
    why: `For its size ${wanted} are usual. In small spaces places differ little; a bay cut off by a wall or a beam needs its own.`,
    how: [...keepAway(facts, space, words), 'Take the place for each from the plan, and photograph it.'],
  }
}

function liquid(space: PlacingSpace): Step {
  if (space.probes.some(({ measures }) => measures.water)) return `${space.name}: standing water is watched.`
  return {
    key: `water ${space.key}`,
    space: space.key,
    need: 'water contact',
    where: `${space.name}: a float or contact at the lowest point of the floor.`,
    why: 'It is the only cheap proof of standing water after a storm.',
    how: ['Battery powered. Where there is power near water, stay out and call an electrician first.'],
  }
}

function rain(facts: PlacingFacts): Step {
  const measured = facts.spaces.some(({ probes }) => probes.some(({ measures }) => measures.rain))
  if (measured) return 'Rain is measured at the house.'
  if (facts.station.rain) return 'Rain comes from a station; a storm can differ within a few miles.'
  return {
    key: 'rain',
    space: null,
    need: 'rain gauge or station',
    where: 'A rain gauge at the house, or a station with rain nearby.',
    why: 'Without rain no drain can be proved, and rain is said to be not known.',
    how: ['In the open, twice as far from house and trees as they are high.'],
  }
}

function living(facts: PlacingFacts): Step {
  const spaces = facts.spaces.filter(({ role }) => role === 'living')
  if (spaces.some((space) => air(space).length > 0)) return 'The living space is measured.'
  return {
    key: 'living',
    space: spaces[0]?.key ?? null,
    need: 'air logger',
    where: 'One on the main floor, out of the sun and away from supply registers.',
    why: 'It tells house air that leaks down from the other sources of water.',
    how: ['At the height of a light switch on an inner wall, not in kitchen or bath.'],
  }
}
